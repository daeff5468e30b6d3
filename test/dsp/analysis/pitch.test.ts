// Pitch against the truth of generated voices, against steady tones, and beside an
// independent library (pitchy, the method of McLeod and Wyvill 2005).

import { PitchDetector } from 'pitchy'
import { describe, expect, it } from 'vitest'
import { fundamentalOf } from '../../../app/dsp/analysis/pitch/fundamental.ts'
import { createPitchFinder } from '../../../app/dsp/analysis/pitch/pitch-finder.ts'
import type { PitchTrack } from '../../../app/dsp/analysis/pitch/pitch-track.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_AD_LIBS, PAPER_LANTERNS_HOOK } from '../../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { VOICE_RATE_HZ, type VoiceTake, voiceTake } from '../../signals/voice-takes.ts'
import { SUNG_ALTO } from '../../signals/voices.ts'

function trackOf(samples: Float64Array, sampleRateHz = VOICE_RATE_HZ): PitchTrack {
  const finder = createPitchFinder(sampleRateHz)
  for (let at = 0; at < samples.length; at += 1000) {
    const count = Math.min(1000, samples.length - at)
    finder.add(samples.subarray(at, at + count), count)
  }
  return finder.track()
}

const cents = (hz: number, referenceHz: number): number => Math.abs(1200 * Math.log2(hz / referenceHz))
const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1]

/** Errors in cents wherever both the track and the truth have voice. */
function errorsOf({ samples, truth }: VoiceTake): number[] {
  const { seconds, hz } = trackOf(samples)
  const errors: number[] = []
  for (let i = 0; i < hz.length; i++) {
    const trueHz = truth.f0.hz[Math.round(seconds[i] / truth.f0.stepSeconds)] ?? 0
    if (trueHz > 0) errors.push(cents(hz[i], trueHz))
  }
  return errors
}

const TAKES = [
  ['sung baritone, hook', voiceTake(SUNG_BARITONE, PAPER_LANTERNS_HOOK, 7), 5],
  ['sung alto, hook', voiceTake(SUNG_ALTO, PAPER_LANTERNS_HOOK, 7), 5],
  ['sung alto, ad-libs', voiceTake(SUNG_ALTO, PAPER_LANTERNS_AD_LIBS, 7), 5],
  // The jitter of single periods, 0.6 % or 10 cents, is in the sound of a low voice and not in its truth.
  ['rap baritone, verse', voiceTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 7), 7],
  [
    'rap baritone without jitter, verse',
    voiceTake({ ...RAP_BARITONE, jitterPercent: 0, shimmerPercent: 0 }, SEVEN_STAIRS_VERSE, 7),
    5,
  ],
] as const

describe('pitch of generated voices against their truth', () => {
  it.each(TAKES)(
    '%s: fewer than one frame in 100 is over 50 cents off, and the median error is within bounds',
    (name, take, most) => {
      const errors = errorsOf(take)
      const gross = errors.filter((error) => error > 50).length / errors.length
      console.log(
        `${name}: ${errors.length} frames, gross ${(100 * gross).toFixed(2)} %, median ${median(errors).toFixed(2)} cents`,
      )
      expect(errors.length).toBeGreaterThan(250)
      expect(gross).toBeLessThan(0.01)
      expect(median(errors)).toBeLessThan(most)
      // Not one frame is an octave off.
      expect(errors.filter((error) => error > 900)).toEqual([])
    },
  )

  it('no more than 1 % of the frames in pauses, breaths and voiceless consonants have pitch', () => {
    for (const [name, { samples, truth }] of TAKES) {
      const { seconds } = trackOf(samples)
      const stray = Array.from(seconds).filter((at) => {
        const near = [-0.02, 0, 0.02].map(
          (shift) => truth.f0.hz[Math.round((at + shift) / truth.f0.stepSeconds)] ?? 0,
        )
        return near.every((hz) => hz === 0)
      })
      expect(stray.length, name).toBeLessThan(0.01 * seconds.length)
    }
  })
})

describe('pitch of steady tones', () => {
  it.each([
    [66, 3],
    [82.41, 3],
    [123.47, 3],
    [196, 3],
    [440, 3],
    [880, 3],
    [1046.5, 5],
  ])('%d Hz within %d cents, at every rate', (frequencyHz, most) => {
    for (const rateHz of [44_100, 48_000, 96_000]) {
      const sound = new Float64Array(rateHz)
      for (const [times, amplitude] of [0, 0.3, 0.2, 0.1].entries()) {
        for (let n = 0; n < rateHz; n++) {
          sound[n] += amplitude * Math.sin((2 * Math.PI * times * frequencyHz * n) / rateHz + times)
        }
      }
      const { hz } = trackOf(sound, rateHz)
      expect(hz.length).toBeGreaterThan(85)
      expect(cents(median(Array.from(hz)), frequencyHz), `${rateHz}`).toBeLessThan(most)
    }
  })
})

describe('pitch beside pitchy', () => {
  it.each(TAKES.slice(0, 4))(
    '%s: median difference under 10 cents, and not further from the truth',
    (_name, take) => {
      const { samples, truth } = take
      const detector = PitchDetector.forFloat64Array(2048)
      const { seconds, hz } = trackOf(samples)
      const differences: number[] = []
      const theirs: number[] = []
      for (let i = 0; i < hz.length; i += 3) {
        const start = Math.round(seconds[i] * VOICE_RATE_HZ) - 1024
        if (start < 0 || start + 2048 > samples.length) continue
        const [found, clarity] = detector.findPitch(samples.subarray(start, start + 2048), VOICE_RATE_HZ)
        const trueHz = truth.f0.hz[Math.round(seconds[i] / truth.f0.stepSeconds)] ?? 0
        if (clarity < 0.9 || trueHz === 0) continue
        differences.push(cents(hz[i], found))
        theirs.push(cents(found, trueHz))
      }
      const gross = (errors: readonly number[]): number =>
        errors.filter((error) => error > 50).length / errors.length
      console.log(
        `${_name}: from pitchy ${median(differences).toFixed(2)} cents; pitchy from the truth ${median(theirs).toFixed(2)}, gross ${(100 * gross(theirs)).toFixed(2)} %`,
      )
      expect(differences.length).toBeGreaterThan(80)
      expect(median(differences)).toBeLessThan(10)
      const ours = errorsOf(take)
      expect(gross(ours)).toBeLessThanOrEqual(gross(theirs) + 0.005)
    },
  )
})

describe('pitch range', () => {
  const at = (hz: readonly number[]): PitchTrack => ({
    seconds: Float64Array.from(hz, (_, i) => i / 100),
    hz: Float64Array.from(hz),
    powers: new Float64Array(hz.length).fill(0.01),
  })

  it('leaves out octaves that are fewer than 2 % of the frames, and keeps those that are more', () => {
    const voice = Array.from({ length: 990 }, (_, i) => 110 + 5 * Math.sin(i))
    const stray = fundamentalOf(at([...voice, ...new Array<number>(10).fill(55)]))!
    expect(stray.octaveErrorPercent).toBeCloseTo(1, 5)
    expect(stray.p5Hz).toBeGreaterThan(104)
    const meant = fundamentalOf(at([...voice, ...new Array<number>(110).fill(55)]))!
    expect(meant.octaveErrorPercent).toBe(0)
    expect(meant.p5Hz).toBeCloseTo(55, 5)
  })

  it('does not count what is 35 dB under the voice: hum has a pitch too', () => {
    const track = at([...new Array<number>(500).fill(200), ...new Array<number>(500).fill(100)])
    track.powers.fill(1e-6, 500)
    const range = fundamentalOf(track)!
    expect(range.p5Hz).toBeCloseTo(200, 5)
    expect(range.voicedSeconds).toBeCloseTo(5, 9)
  })
})
