// The soundcheck on takes of one generated singer: what is planted raises a sentence, and
// nothing else does.

import { beforeAll, describe, expect, it } from 'vitest'
import { compareWithHistory, type Soundcheck } from '../../../app/dsp/analysis/soundcheck.ts'
import { usualSpreadOf } from '../../../app/dsp/analysis/usual-spread.ts'
import type { VoiceAnalysed } from '../../../app/dsp/analysis/voice-analysis.ts'
import type { Curve } from '../../../app/dsp/correction/curve.ts'
import { colourByMic } from '../../../app/dsp/voice/colour-by-mic.ts'
import { DEMO_CONDENSER, DEMO_DYNAMIC } from '../../../app/dsp/voice/demo-mics.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { soundcheckSentences } from '../../../app/words/soundcheck.ts'
import { analyse } from '../../signals/listening.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { longTake, throughBand, VOICE_RATE_HZ } from '../../signals/voice-takes.ts'

const FLAT: Curve = { frequenciesHz: [20, 1000, 20_000], levelsDb: [0, 0, 0] }

let today: Float64Array
let plain: VoiceAnalysed
let history: VoiceAnalysed[]
beforeAll(() => {
  today = longTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 2, 7)
  plain = analyse(today)
  history = [20, 30, 40].map((seed) => analyse(longTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 2, seed)))
})

function check(analysis: VoiceAnalysed, micCurve: Curve | null = null, usualCurve: Curve | null = null) {
  const result: Soundcheck = compareWithHistory(
    { analysis, micCurve },
    history.map((earlier) => ({ analysis: earlier, micCurve: usualCurve })),
  )
  if (result.outcome !== 'compared') throw new Error(result.outcome)
  return { ...result, sentences: soundcheckSentences(result.measures) }
}
const throughMic = (curve: Curve): VoiceAnalysed =>
  analyse(Float64Array.from(colourByMic(Float32Array.from(today), curve, VOICE_RATE_HZ)))

describe('soundcheck', () => {
  it('is quiet about another take of the same voice on the same day', () => {
    expect(check(plain).sentences).toEqual([])
    expect(check(plain).measures.length).toBeGreaterThan(20)
  })

  it.each([DEMO_CONDENSER, DEMO_DYNAMIC])(
    'another mic ($name) raises no alarm with its curve taken out, and does without',
    ({ curve }) => {
      const coloured = throughMic(curve)
      const known = check(coloured, curve, FLAT)
      expect(known.isMicTakenOut).toBe(true)
      expect(known.sentences).toEqual([])
      const unknown = check(coloured, null, FLAT)
      expect(unknown.isMicTakenOut).toBe(false)
      expect(unknown.sentences.length).toBeGreaterThan(0)
      console.log(unknown.sentences.join('\n'))
    },
  )

  it('a singer farther from the mic: the low band and its third octaves are lower, and said once each', () => {
    // What 6 dB less proximity lift below 250 Hz does.
    const { sentences, measures } = check(analyse(throughBand(today, 'low-shelf', 250, -6, 0.7)))
    expect(sentences.join('\n')).toMatch(
      /^The range from 100 Hz to 250 Hz is up to \d\.\d dB lower than usual/,
    )
    expect(sentences.join('\n')).toMatch(/The low band .* lower .*farther from the mic/)
    expect(sentences).toHaveLength(2)
    expect(measures.find(({ name }) => name === 'distance')!.today).toBeLessThan(0)
  })

  it('8 dB less level is said of the level alone', () => {
    const { sentences } = check(analyse(today.map((x) => x * 10 ** (-8 / 20))))
    expect(sentences).toHaveLength(1)
    expect(sentences[0]).toMatch(/^The voice is [78]\.\d dB lower than usual/)
  })

  it('noise of -45 dBFS where -65 is usual is said of the noise floor', () => {
    const hiss = whiteNoise(today.length, 3, Math.sqrt(3) * 10 ** (-45 / 20))
    const { sentences } = check(analyse(today.map((x, n) => x + hiss[n])))
    expect(sentences.join('\n')).toMatch(/The noise floor relative to the voice is (19|20|21)\.\d dB higher/)
  })

  it('sibilants 8 dB up are said of the sibilants', () => {
    const { sentences } = check(analyse(throughBand(today, 'bell', 7000, 8, 1)))
    expect(sentences.join('\n')).toMatch(/The sibilants are \d\.\d dB higher than usual/)
  })

  it('needs two earlier takes', () => {
    for (const count of [0, 1]) {
      const result = compareWithHistory(
        { analysis: plain, micCurve: null },
        history.slice(0, count).map((analysis) => ({ analysis, micCurve: null })),
      )
      expect(result).toEqual({ outcome: 'not-enough-history', earlierTakes: count, neededTakes: 2 })
    }
    const two = compareWithHistory(
      { analysis: plain, micCurve: null },
      history.slice(0, 2).map((analysis) => ({ analysis, micCurve: null })),
    )
    expect(two.outcome).toBe('compared')
  })

  it('says nothing of bands outside of a mic’s curve', () => {
    const short: Curve = { frequenciesHz: [200, 1000, 10_000], levelsDb: [0, 0, 0] }
    const bands = check(plain, short, FLAT).measures.filter(({ name }) => name === 'band')
    // The band of 200 Hz has its middle at 199.5 Hz, just outside.
    expect(bands[0].frequencyHz).toBe(250)
    expect(bands[bands.length - 1].frequencyHz).toBe(10_000)
  })
})

describe('usual spread', () => {
  it('is near the expected one for two takes and near their own for many', () => {
    const few = usualSpreadOf([0, 0.1], 1)!
    expect(few.spread).toBeCloseTo(Math.sqrt((3 + 0.005) / 4), 9)
    const many = usualSpreadOf(
      Array.from({ length: 100 }, (_, i) => (i % 2 === 0 ? 5 : -5)),
      1,
    )!
    expect(many.mean).toBe(0)
    expect(many.spread).toBeCloseTo(Math.sqrt((3 + 2500) / 102), 9)
    expect(many.limit).toBeCloseTo(2.5 * many.spread * Math.sqrt(1.01), 9)
    expect(usualSpreadOf([1], 1)).toBeNull()
  })
})
