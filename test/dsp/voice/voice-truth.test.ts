// The truth handed out with a take against the energy in its samples: onsets of sibilants,
// pauses, breaths, pops, and the place of the vowels on the beat.
import { describe, expect, it } from 'vitest'
import { LEAD_DEVIATIONS, type Performance } from '../../../app/dsp/voice/performance.ts'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { secondsAtBeat } from '../../../app/dsp/voice/score.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { bandPower, welchSpectrum } from '../../signals/speech-measures.ts'
import { exactPerformance, repeatedSyllable, SUNG_ALTO } from '../../signals/voices.ts'

const RATE_HZ = 48000

function levelDb(samples: Float32Array, startSeconds: number, endSeconds: number): number {
  const part = samples.subarray(Math.round(startSeconds * RATE_HZ), Math.round(endSeconds * RATE_HZ))
  return 10 * Math.log10(part.reduce((sum, value) => sum + value * value, 1e-12) / part.length)
}

/** Level between two frequencies over 10.7 ms around a moment. */
function bandLevelDb(samples: Float32Array, atSeconds: number, fromHz: number, toHz: number): number {
  const start = Math.round(atSeconds * RATE_HZ) - 256
  return (
    10 *
    Math.log10(
      1e-12 + bandPower(welchSpectrum(samples.subarray(start, start + 512), RATE_HZ, 512), fromHz, toHz),
    )
  )
}

const lead: Performance = { ...exactPerformance(RAP_BARITONE), deviations: LEAD_DEVIATIONS }
const verse = renderVoice(SEVEN_STAIRS_VERSE, lead, { sampleRateHz: RATE_HZ, seed: 21 })

describe('truth against energy', () => {
  it.each(['S', 'SH'])(
    'onset and end of /%s/ within 10 ms of where its energy comes and goes',
    (consonant) => {
      const { samples, truth } = renderVoice(repeatedSyllable(`${consonant} UW`, 10), lead, {
        sampleRateHz: RATE_HZ,
        seed: 5,
      })
      expect(truth.sibilants).toHaveLength(10)
      for (const { startSeconds, endSeconds } of truth.sibilants) {
        // Millisecond by millisecond, 15 dB under the middle of the fricative.
        const thresholdDb = levelDb(samples, startSeconds + 0.03, endSeconds - 0.04) - 15
        let onset = startSeconds - 0.05
        while (levelDb(samples, onset, onset + 0.001) < thresholdDb) onset += 0.001
        expect(Math.abs(onset - startSeconds)).toBeLessThan(0.01)
        let end = startSeconds + 0.05
        while (bandLevelDb(samples, end, 3500, 11000) > thresholdDb) end += 0.001
        expect(Math.abs(end - endSeconds)).toBeLessThan(0.01)
      }
    },
  )

  it('every sibilant of the verse has more energy above 4 kHz than below, and vowels have not', () => {
    const ratioDb = (seconds: number) =>
      bandLevelDb(verse.samples, seconds, 4000, 11000) - bandLevelDb(verse.samples, seconds, 200, 4000)
    for (const { consonant, startSeconds, endSeconds } of verse.truth.sibilants) {
      // A /z/ is voiced and a /sh/ lies lower: only /s/ must outweigh the voice.
      if (consonant === 'S') expect(ratioDb((startSeconds + endSeconds) / 2)).toBeGreaterThan(3)
    }
    for (const { vowelStartSeconds, vowelEndSeconds } of verse.truth.syllables) {
      expect(ratioDb((vowelStartSeconds + vowelEndSeconds) / 2)).toBeLessThan(-3)
    }
  })

  it('F0 is known in the middle of every vowel and 0 where nothing is sung; rests are silent', () => {
    const { samples, truth } = verse
    const f0At = (seconds: number) => truth.f0.hz[Math.round(seconds / truth.f0.stepSeconds)]
    let rests = 0
    for (const [i, syllable] of truth.syllables.entries()) {
      expect(f0At((syllable.vowelStartSeconds + syllable.vowelEndSeconds) / 2)).toBeGreaterThan(60)
      const next = truth.syllables[i + 1]
      if (next === undefined || next.consonantStartSeconds - syllable.endSeconds < 0.12) continue
      if (
        truth.breaths.some(
          (breath) =>
            breath.startSeconds < next.consonantStartSeconds && breath.endSeconds > syllable.endSeconds,
        )
      )
        continue
      rests++
      expect(f0At(syllable.endSeconds + 0.06)).toBe(0)
      expect(levelDb(samples, syllable.endSeconds + 0.06, next.consonantStartSeconds - 0.03)).toBeLessThan(
        -60,
      )
    }
    expect(rests).toBeGreaterThan(0)
  })

  it('breaths are heard, 20 to 45 dB under the loudest vowel, and end before their phrase', () => {
    const { samples, truth } = renderVoice(
      PAPER_LANTERNS_HOOK,
      { ...exactPerformance(SUNG_ALTO), deviations: LEAD_DEVIATIONS },
      { sampleRateHz: RATE_HZ, seed: 9 },
    )
    expect(truth.breaths.length).toBeGreaterThanOrEqual(3)
    const vowelsDb = Math.max(
      ...truth.syllables.map((s) => levelDb(samples, s.vowelStartSeconds, s.vowelEndSeconds)),
    )
    for (const { startSeconds, endSeconds } of truth.breaths) {
      const breathDb = levelDb(samples, startSeconds, endSeconds)
      expect(breathDb).toBeGreaterThan(vowelsDb - 45)
      expect(breathDb).toBeLessThan(vowelsDb - 20)
      const phrase = truth.syllables.find((syllable) => syllable.consonantStartSeconds > startSeconds)
      expect(phrase?.consonantStartSeconds).toBeGreaterThan(endSeconds)
    }
  })

  it('a /p/ thumps at 40 to 80 Hz where the truth says so', () => {
    const close = { ...exactPerformance(RAP_BARITONE), popLevelDb: 6 }
    const options = { sampleRateHz: RATE_HZ, seed: 5 }
    const score = repeatedSyllable('P IY', 4)
    const pops = renderVoice(score, close, options)
    const none = renderVoice(score, { ...close, popLevelDb: -80 }, options)
    expect(pops.truth.popSeconds).toHaveLength(4)
    for (const seconds of pops.truth.popSeconds) {
      const level = ({ samples }: typeof pops) => {
        const start = Math.round(seconds * RATE_HZ) - 2048
        const spectrum = welchSpectrum(samples.subarray(start, start + 4096), RATE_HZ, 4096)
        return 10 * Math.log10(bandPower(spectrum, 35, 85))
      }
      expect(level(pops)).toBeGreaterThan(level(none) + 15)
    }
  })
})

describe('time', () => {
  it('vowels, not consonants, start on the beat when nothing strays', () => {
    const { truth } = renderVoice(SEVEN_STAIRS_VERSE, exactPerformance(RAP_BARITONE), {
      sampleRateHz: RATE_HZ,
      seed: 1,
    })
    for (const syllable of truth.syllables) {
      expect(syllable.vowelStartSeconds).toBeCloseTo(secondsAtBeat(SEVEN_STAIRS_VERSE, syllable.beat), 9)
      expect(syllable.consonantStartSeconds).toBeLessThanOrEqual(syllable.vowelStartSeconds)
    }
  })

  it('swing of 0.57 delays every other sixteenth by 7 % of an eighth: 22.8 ms at 92 beats a minute', () => {
    const straight = { ...SEVEN_STAIRS_VERSE, swing: 0.5 }
    expect(secondsAtBeat(SEVEN_STAIRS_VERSE, 1.25) - secondsAtBeat(straight, 1.25)).toBeCloseTo(0.0228, 4)
    expect(secondsAtBeat(SEVEN_STAIRS_VERSE, 1.125) - secondsAtBeat(straight, 1.125)).toBeCloseTo(0.0114, 4)
    expect(secondsAtBeat(SEVEN_STAIRS_VERSE, 1.5)).toBeCloseTo(secondsAtBeat(straight, 1.5), 9)
  })

  it('4 to 6 syllables a second while it raps', () => {
    const { syllables } = verse.truth
    const bars = syllables.filter((syllable) => syllable.beat >= 0 && syllable.beat < 3)
    const seconds = secondsAtBeat(SEVEN_STAIRS_VERSE, 3) - secondsAtBeat(SEVEN_STAIRS_VERSE, 0)
    expect(bars.length / seconds).toBeGreaterThan(4)
    expect(bars.length / seconds).toBeLessThan(6)
  })
})
