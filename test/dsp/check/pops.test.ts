import { describe, expect, it } from 'vitest'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import {
  addWhiteNoise,
  announcements,
  CLIPS,
  checkOf,
  phrasedTake,
  RATE_HZ,
  SINGERS,
  SYLLABLES,
  scored,
  songTake,
  syllables,
} from '../../signals/checking.ts'
import { withSwellingRumble } from '../../signals/planted-faults.ts'
import { exactPerformance, repeatedSyllable, SUNG_ALTO } from '../../signals/voices.ts'

describe('plosive pops', () => {
  it.each([
    [6, 0.95],
    [0, 0.95],
    [-6, 0.6],
  ])('thumps of /p/ that peak %d dB over the RMS of the vowels', (popLevelDb, least) => {
    let hits = 0
    let of = 0
    let falseAlarms = 0
    for (const [singer, spelling] of [
      [RAP_BARITONE, 'P EH'],
      [SUNG_ALTO, 'P AA'],
      [SUNG_BARITONE, 'P IY'],
    ] as const) {
      const performance = { ...exactPerformance(singer), popLevelDb }
      const { samples, truth } = renderVoice(repeatedSyllable(spelling, 20), performance, {
        sampleRateHz: RATE_HZ,
        seed: 4,
      })
      const take = addWhiteNoise(Float64Array.from(samples), -70, 1)
      const score = scored(truth.popSeconds, checkOf(take).evidence.pops, 0.03)
      hits += score.hits
      of += score.of
      falseAlarms += score.falseAlarms
    }
    console.log(`  ${popLevelDb} dB: ${hits} of ${of} found, ${falseAlarms} false alarms`)
    expect(hits).toBeGreaterThanOrEqual(least * of)
    expect(falseAlarms).toBe(0)
  })

  it('are not heard in clean voices, low notes included', () => {
    for (const singer of SINGERS) {
      for (const tonicHz of [75, 90, singer.tonicHz]) {
        const { samples } = songTake({ ...singer, tonicHz }, 5)
        expect(checkOf(samples).evidence.pops, `${singer.name} at ${tonicHz} Hz`).toEqual([])
      }
    }
  })

  it('do not follow one another within a tenth of a second', () => {
    const take = phrasedTake(SINGERS[0], 2, true).samples
    // Two thumps of 40 Hz that rise in 8 ms and fade away in 20, the second a tenth of a second after the first.
    const thumped = Float64Array.from(take)
    for (const at of [1.7, 1.8]) {
      for (let n = 0; n < 0.25 * RATE_HZ; n++) {
        const swell = Math.min(1, n / (0.008 * RATE_HZ)) * Math.exp(-n / (0.02 * RATE_HZ))
        thumped[Math.round(at * RATE_HZ) + n] += 0.6 * swell * Math.sin((2 * Math.PI * 40 * n) / RATE_HZ)
      }
    }
    expect(checkOf(take).evidence.pops).toHaveLength(0)
    expect(checkOf(thumped).evidence.pops).toHaveLength(1)
  })

  it('are not rumble that comes and goes', () => {
    const { samples } = phrasedTake(SINGERS[0], 2, true)
    expect(checkOf(withSwellingRumble(samples)).evidence.pops).toEqual([])
  })

  it.skipIf(!haveMaterial(CLIPS, SYLLABLES) || !hasTool('ffmpeg'))('in real speech', () => {
    let alarms = 0
    let seconds = 0
    for (const [name, samples] of [
      ['German', syllables('de')],
      ['French', syllables('fr')],
      ['Lithuanian', syllables('lt')],
      ['announcements', announcements()],
    ] as const) {
      const { pops } = checkOf(samples).evidence
      console.log(`  ${name}: ${pops.length} in ${(samples.length / RATE_HZ).toFixed(0)} s`)
      if (name === 'announcements') continue
      alarms += pops.length
      seconds += samples.length / RATE_HZ
    }
    // Nobody has said which of them are real; syllables for learners were recorded with care.
    expect(alarms).toBeLessThanOrEqual(seconds / 60)
  })
})
