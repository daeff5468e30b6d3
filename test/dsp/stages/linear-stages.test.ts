import { describe, expect, it } from 'vitest'
import { bandsResponseDb, lowCutResponseDb } from '../../../app/dsp/filters/response.ts'
import type { Channels, Stage, StageLayout } from '../../../app/dsp/stage.ts'
import { createLowCut } from '../../../app/dsp/stages/low-cut.ts'
import { createMicCorrection } from '../../../app/dsp/stages/mic-correction.ts'
import type { Band } from '../../../app/dsp/stages/settings.ts'
import { createTone } from '../../../app/dsp/stages/tone.ts'
import { createTrim } from '../../../app/dsp/stages/trim.ts'
import { impulse } from '../../signals/impulses.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { responseLevelDb } from '../../signals/spectra.ts'

const BANDS: Band[] = [
  { shape: 'low-shelf', frequencyHz: 150, gainDb: -4, q: Math.SQRT1_2 },
  { shape: 'bell', frequencyHz: 315, gainDb: -3, q: 1.4 },
  { shape: 'bell', frequencyHz: 3150, gainDb: 5, q: 2 },
  { shape: 'high-shelf', frequencyHz: 10000, gainDb: 6, q: Math.SQRT1_2 },
]

type Create = (layout: StageLayout) => Stage

const STAGES: [name: string, create: Create][] = [
  ['trim', (layout) => createTrim({ gainDb: -3, invertPolarity: true }, layout)],
  ['low-cut', (layout) => createLowCut({ frequencyHz: 80, slopeDbPerOctave: 24 }, layout)],
  ['tone', (layout) => createTone({ bands: BANDS }, layout)],
  ['mic-correction', (layout) => createMicCorrection({ bands: BANDS.slice(0, 3) }, layout)],
]

const MONO: StageLayout = { sampleRateHz: 48000, laneChannels: [1] }
/** A stereo leader and followers of one and two channels. */
const LANES: StageLayout = { sampleRateHz: 48000, laneChannels: [2, 1, 2] }

/** Noise, then silence long enough for every state to die away. */
function noiseThenSilence(layout: StageLayout): Channels[] {
  let seed = 1
  return layout.laneChannels.map((channels) =>
    Array.from({ length: channels }, () => {
      const samples = new Float64Array(60000)
      samples.set(whiteNoise(9000, seed++))
      return samples
    }),
  )
}

function run(stage: Stage, lanes: readonly Channels[], blocks: readonly number[]): readonly Channels[] {
  const total = lanes[0][0].length
  let at = 0
  for (let i = 0; at < total; i++) {
    const frames = Math.min(blocks[i % blocks.length], total - at)
    const from = at
    stage.process(
      lanes.map((channels) => channels.map((samples) => samples.subarray(from, from + frames))),
      frames,
    )
    at += frames
  }
  return lanes
}

describe.each(STAGES)('%s', (_, create) => {
  it('gives the same samples for any size of block', () => {
    const whole = run(create(LANES), noiseThenSilence(LANES), [1024])
    for (const blocks of [[1], [7, 64, 1000, 3], [1023], [480]]) {
      expect(run(create(LANES), noiseThenSilence(LANES), blocks)).toEqual(whole)
    }
  })

  it('keeps silence silent, and falls silent after sound', () => {
    const silence = [[new Float64Array(5000)]]
    const stage = create(MONO)
    for (const value of run(stage, silence, [1024])[0][0]) expect(Math.abs(value)).toBe(0)
    const tail = run(stage, noiseThenSilence(MONO), [1024])[0][0].subarray(59000)
    for (const value of tail) expect(Math.abs(value)).toBe(0)
  })

  it('is reset by its memory, and resumes from a copy of it', () => {
    const stage = create(LANES)
    const created = stage.memory.map((array) => array.slice())
    const first = run(stage, noiseThenSilence(LANES), [1024])
    stage.memory.forEach((array, i) => {
      array.set(created[i])
    })
    expect(run(stage, noiseThenSilence(LANES), [1024])).toEqual(first)

    const lanes = noiseThenSilence(LANES)
    const head = lanes.map((channels) => channels.map((samples) => samples.subarray(0, 3000)))
    const rest = lanes.map((channels) => channels.map((samples) => samples.subarray(3000)))
    const before = create(LANES)
    run(before, head, [700])
    const after = create(LANES)
    after.memory.forEach((array, i) => {
      array.set(before.memory[i])
    })
    run(after, rest, [1024])
    expect(lanes).toEqual(first)
  })

  it('treats every channel of every lane as if it were alone', () => {
    const together = run(create(LANES), noiseThenSilence(LANES), [1024])
    noiseThenSilence(LANES).forEach((channels, lane) => {
      channels.forEach((samples, channel) => {
        expect(run(create(MONO), [[samples]], [1024])[0][0]).toEqual(together[lane][channel])
      })
    })
  })

  it('is on time and never reduces', () => {
    expect(create(MONO).latencySamples).toBe(0)
    expect(create(MONO).reductionDb).toBe(0)
  })
})

describe('the drawn curve against the measured one (figure F3: 0.01 dB)', () => {
  const frequenciesHz = Array.from({ length: 30 }, (_, i) => 20 * 1000 ** (i / 29))

  it.each([44100, 48000, 96000])('tone at %i Hz', (sampleRateHz) => {
    const stage = createTone({ bands: BANDS }, { sampleRateHz, laneChannels: [1] })
    const [[response]] = run(stage, [[impulse(1 << 16)]], [1024])
    const drawnDb = bandsResponseDb(BANDS, frequenciesHz, sampleRateHz)
    frequenciesHz.forEach((f, i) => {
      expect(Math.abs(responseLevelDb(response, f, sampleRateHz) - drawnDb[i])).toBeLessThan(0.01)
    })
  })

  it.each([12, 24] as const)('low-cut of %i dB per octave: -3.01 dB at its frequency', (slopeDbPerOctave) => {
    const settings = { frequencyHz: 80, slopeDbPerOctave }
    const [[response]] = run(createLowCut(settings, MONO), [[impulse(1 << 16)]], [1024])
    const drawnDb = lowCutResponseDb(settings, frequenciesHz, 48000)
    frequenciesHz.forEach((f, i) => {
      expect(Math.abs(responseLevelDb(response, f, 48000) - drawnDb[i])).toBeLessThan(0.01)
    })
    expect(Math.abs(responseLevelDb(response, 80, 48000) + 3.0103)).toBeLessThan(0.01)
  })
})

describe('neutral settings change no bit', () => {
  const NEUTRAL: [string, Stage][] = [
    ['trim at 0 dB', createTrim({ gainDb: 0, invertPolarity: false }, MONO)],
    ['tone without bands', createTone({ bands: [] }, MONO)],
    ['tone at 0 dB', createTone({ bands: BANDS.map((band) => ({ ...band, gainDb: 0 })) }, MONO)],
    ['mic-correction without bands', createMicCorrection({ bands: [] }, MONO)],
  ]
  it.each(NEUTRAL)('%s', (_, stage) => {
    expect(run(stage, [[whiteNoise(5000, 9)]], [1024])[0][0]).toEqual(whiteNoise(5000, 9))
  })
})

describe('trim', () => {
  it('scales by the level and turns the polarity: -6.0206 dB is a half', () => {
    const stage = createTrim({ gainDb: -20 * Math.log10(2), invertPolarity: true }, MONO)
    const [[samples]] = run(stage, [[Float64Array.of(1, -0.5)]], [1024])
    expect(samples[0]).toBeCloseTo(-0.5, 12)
    expect(samples[1]).toBeCloseTo(0.25, 12)
  })
})
