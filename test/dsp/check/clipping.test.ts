import { describe, expect, it } from 'vitest'
import { ClippedRuns } from '../../../app/dsp/meters/clipped-runs.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import {
  announcements,
  CLIPS,
  RATE_HZ,
  SINGERS,
  SYLLABLES,
  songTake,
  syllables,
} from '../../signals/checking.ts'
import { AFTER_CLIPPING, clippedBy, runsAtLimit } from '../../signals/planted-faults.ts'
import { feed, quantised } from '../../signals/tones.ts'

function runsOf(signal: Float64Array, rateHz = RATE_HZ): ClippedRuns {
  const runs = new ClippedRuns(rateHz)
  feed(([samples], frames) => runs.add(samples, frames), [signal], 4096)
  return runs
}

describe('clipping of a generated voice (recall 0.95 of runs of 4 samples, none false)', () => {
  const voices = SINGERS.map((singer) => Float64Array.from(songTake(singer, 3, { peakDbfs: 6 }).samples))

  it.each([
    [0, 'both sides'],
    [-3, 'both sides'],
    [-6, 'both sides'],
    [0, 'one side'],
    [-6, 'one side'],
  ])('cut at %d dBFS on %s, then 10 dB lower', (limitDbfs, sides) => {
    for (const bits of [16, 24]) {
      let planted = 0
      let found = 0
      let counted = 0
      for (const voice of voices) {
        const high = 10 ** (limitDbfs / 20)
        const low = sides === 'one side' ? -100 : -high
        const scale = 0.9 * 10 ** (-10 / 20)
        const starts = runsAtLimit(voice, low, high)
        const cut = voice.map((sample) => Math.max(low, Math.min(high, sample)) * scale)
        const runs = runsOf(quantised(cut, bits))
        const places = runs.places()
        planted += starts.length
        counted += runs.count()
        found += starts.filter((at) => places.some(({ fromS, toS }) => at >= fromS && at <= toS)).length
      }
      console.log(
        `  ${limitDbfs} dBFS, ${sides}, ${bits} bit: ${found} of ${planted} runs of 4 or more lie in the places given; ${counted} counted, those of 3 included`,
      )
      expect(counted).toBeGreaterThanOrEqual(0.95 * planted)
      expect(planted).toBeGreaterThan(10)
      expect(found).toBeGreaterThanOrEqual(0.95 * planted)
    }
  })

  it('is nowhere in 60 s of clean voice at 0 dBFS', () => {
    let seconds = 0
    let alarms = 0
    for (const [i, voice] of [
      ...voices,
      ...SINGERS.map((one) => Float64Array.from(songTake(one, 9).samples)),
    ].entries()) {
      const greatest = voice.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
      const clean = quantised(
        voice.map((sample) => (sample / greatest) * 0.9999),
        i % 2 === 0 ? 16 : 24,
      )
      alarms += runsOf(clean).count()
      seconds += voice.length / RATE_HZ
    }
    console.log(`  ${alarms} false alarms in ${seconds.toFixed(0)} s`)
    expect(seconds).toBeGreaterThan(60)
    expect(alarms).toBe(0)
  })
})

const haveVoices = hasTool('ffmpeg') && haveMaterial(CLIPS, SYLLABLES)

// Amplitude histogram beside the shape in time: Laguna and Lerch, AES 141 (2016, abstract).
describe.skipIf(!haveVoices)('clipping of real voices that something followed', () => {
  const voices = haveVoices
    ? [
        announcements(),
        ...['en', 'de', 'es', 'lt', 'fr'].map((one) => syllables(one).subarray(0, 12 * RATE_HZ)),
      ]
    : []

  it.each(Object.entries(AFTER_CLIPPING))('is found when cut by 6 dB, then %s', (_, after) => {
    for (const voice of voices) {
      const [take, rateHz] = after(clippedBy(voice, 6))
      const runs = runsOf(take, rateHz)
      expect(runs.count()).toBeGreaterThan(4)
      expect(runs.places().length).toBeGreaterThan(0)
    }
  })

  it('is not a few crests that are flat by chance among many at one level', () => {
    // Eight crests of the Czech syllables look flat, and most at their level do not.
    expect(runsOf(syllables('cs')).count()).toBe(0)
  })

  it('is nowhere in the voices as they are, nor after the same things', () => {
    for (const voice of voices) {
      expect(runsOf(voice).count()).toBe(0)
      for (const after of Object.values(AFTER_CLIPPING)) {
        const [take, rateHz] = after(voice)
        expect(runsOf(take, rateHz).count()).toBe(0)
      }
    }
  })
})
