// The curves that the window draws: against the published formula, and against the running stages.

import { describe, expect, it } from 'vitest'
import { createDeEss } from '../../../app/dsp/stages/de-ess.ts'
import { createDrive } from '../../../app/dsp/stages/drive.ts'
import { createExpander } from '../../../app/dsp/stages/expander.ts'
import { createOpto } from '../../../app/dsp/stages/opto.ts'
import {
  deEssReductionDb,
  driveOutput,
  expanderOutputDbfs,
  optoOutputDbfs,
  softKneeReductionDb,
} from '../../../app/dsp/stages/static-curves.ts'
import { sineAmplitude } from '../../signals/spectra.ts'
import { tone } from '../../signals/tones.ts'
import { SOFT_KNEE_TABLE } from './soft-knee-table.ts'
import { runMono } from './stage-laws.ts'

const FS = 48_000

/** Level in dBFS of a 1 kHz sine in the last second. */
const settledDbfs = (samples: Float64Array) =>
  20 * Math.log10(sineAmplitude(samples.subarray(samples.length - FS), 1000, FS))

const sine = (seconds: number, dbfs: number) => tone(seconds * FS, FS, 1000, 10 ** (dbfs / 20))

describe('soft knee', () => {
  it.each(SOFT_KNEE_TABLE)(
    'follows eq. 4 of JAES 60(6), 2012: %d dB in, %d dB out, within 1e-9',
    (inputDb, outputDb) => {
      expect(inputDb - softKneeReductionDb(inputDb + 20, 1 - 1 / 4, 6)).toBeCloseTo(outputDb, 9)
    },
  )

  it('is a corner at the threshold with a knee of 0 dB', () => {
    expect([-1, 0, 1, 8].map((overDb) => softKneeReductionDb(overDb, 0.75, 0))).toEqual([0, 0, 0.75, 6])
  })

  it('joins both straight parts within 1e-6 dB', () => {
    for (const end of [-3, 3]) {
      const before = softKneeReductionDb(end - 1e-7, 0.75, 6)
      const after = softKneeReductionDb(end + 1e-7, 0.75, 6)
      expect(Math.abs(after - before)).toBeLessThan(1e-6)
    }
  })
})

describe('opto', () => {
  const SETTINGS = { thresholdDbfs: -20, ratio: 4, kneeDb: 6, makeUpDb: 0 }

  it('is drawn by eq. 4 of JAES 60(6), 2012, plus make-up', () => {
    for (const [input, output] of SOFT_KNEE_TABLE) {
      expect(Math.abs(optoOutputDbfs(input, SETTINGS) - output)).toBeLessThan(1e-4)
    }
    expect(optoOutputDbfs(-40, { ...SETTINGS, makeUpDb: 3 })).toBe(-37)
    expect(optoOutputDbfs(-3, { ...SETTINGS, ratio: 1 })).toBe(-3)
    expect(optoOutputDbfs(-12, { ...SETTINGS, kneeDb: 0 })).toBe(-18)
  })

  it.each([-40, -23, -20, -17, -6, 0])(
    'settles at the drawn level within 0.1 dB: sine at %d dBFS',
    (dbfs) => {
      const settings = { ...SETTINGS, makeUpDb: 2, attackMs: 5, releaseMs: 60, recoverySeconds: 1 }
      const { output } = runMono((layout) => createOpto(settings, layout), sine(3, dbfs))
      expect(Math.abs(settledDbfs(output) - optoOutputDbfs(dbfs, settings))).toBeLessThan(0.1)
    },
  )
})

describe('expander', () => {
  const SETTINGS = { thresholdDbfs: -50, ratio: 2, rangeDb: 12 }

  it('is drawn with slope `ratio` below the threshold, down to the range', () => {
    expect([-40, -50, -55, -70].map((dbfs) => expanderOutputDbfs(dbfs, SETTINGS))).toEqual([
      -40, -50, -60, -82,
    ])
  })

  it.each([-40, -48, -52, -58, -62, -75])(
    'settles at the drawn level within 0.2 dB: sine at %d dBFS',
    (dbfs) => {
      const settings = { ...SETTINGS, attackMs: 2, holdMs: 20, releaseMs: 100 }
      const { output } = runMono((layout) => createExpander(settings, layout), sine(3, dbfs))
      expect(Math.abs(settledDbfs(output) - expanderOutputDbfs(dbfs, settings))).toBeLessThan(0.2)
    },
  )
})

describe('de-ess', () => {
  it('is drawn with a dB of reduction for each dB over the threshold, up to the range', () => {
    const settings = { thresholdDb: 2, rangeDb: 6 }
    expect([-10, 5, 30].map((ratioDb) => deEssReductionDb(ratioDb, settings))).toEqual([0, 3, 6])
  })

  it('settles at the drawn reduction within 0.1 dB for thresholds around the ratio of two tones', () => {
    const input = tone(2 * FS, FS, 1000, 0.1).map((x, n) => x + 0.1 * Math.sin((2 * Math.PI * 7000 * n) / FS))
    const reductionDb = (thresholdDb: number, rangeDb: number) => {
      const settings = { shape: 'bell', frequencyHz: 7000, thresholdDb, rangeDb } as const
      const stage = createDeEss(settings, { sampleRateHz: FS, laneChannels: [1] })
      let last = 0
      for (let from = 0; from < input.length; from += 1000) {
        stage.process([[input.slice(from, from + 1000)]], 1000)
        last = stage.reductionDb
      }
      return last
    }
    // The ratio that the detector reads, filters and ripple included, from one point above the knee.
    const ratioDb = -10 + reductionDb(-10, 24)
    expect(Math.abs(ratioDb)).toBeLessThan(3)
    for (const over of [-4, -1.5, -0.5, 0, 1, 1.8, 3, 7]) {
      const thresholdDb = ratioDb - over
      const drawn = deEssReductionDb(ratioDb, { thresholdDb, rangeDb: 6 })
      expect(Math.abs(reductionDb(thresholdDb, 6) - drawn)).toBeLessThan(0.1)
    }
  })
})

describe('drive', () => {
  const SETTINGS = { amountDb: 6, referenceDbfs: -12, evenPercent: 40, mixPercent: 100, outputDb: 0 }

  it('is drawn as (tanh(u + b) - tanh b) / (1 - tanh(b)^2), with slope 1 at 0', () => {
    // Bias 0.5 at 100 %; 0 dB of drive puts the reference level 12 dB below u = 1.
    const push = 10 ** ((6 + 12 - 12) / 20)
    for (let x = -1; x <= 1; x += 0.05) {
      const printed = (Math.tanh(push * x + 0.2) - Math.tanh(0.2)) / (1 - Math.tanh(0.2) ** 2) / push
      expect(Math.abs(driveOutput(x, SETTINGS) - printed)).toBeLessThan(1e-12)
    }
    expect(driveOutput(1e-6, SETTINGS) / 1e-6).toBeCloseTo(1, 5)
    expect(driveOutput(0.7, { ...SETTINGS, mixPercent: 0 })).toBe(0.7)
  })

  // 200 Hz, so that its harmonics lie inside the pass band and far above the 5 Hz DC block.
  it.each([[{}], [{ amountDb: 12, mixPercent: 50, outputDb: -2 }], [{ evenPercent: 0, amountDb: 0 }]])(
    'sounds as drawn within -46 dBFS, sample by sample: %o',
    (changes) => {
      const settings = { ...SETTINGS, ...changes }
      const input = tone(FS, FS, 200, 0.5)
      const { output, latencySamples } = runMono((layout) => createDrive(settings, layout), input)
      const late = output.subarray(FS / 2 + latencySamples)
      const drawn = input.subarray(FS / 2, FS / 2 + late.length).map((x) => driveOutput(x, settings))
      // The stage blocks DC, the curve does not.
      const dc = drawn.reduce((sum, x) => sum + x, 0) / drawn.length
      const bending = drawn.reduce((most, x, n) => Math.max(most, Math.abs(x - dc - input[FS / 2 + n])), 0)
      const worst = late.reduce((most, x, n) => Math.max(most, Math.abs(x - drawn[n] + dc)), 0)
      expect(worst).toBeLessThan(10 ** (-46 / 20))
      expect(bending).toBeGreaterThan(4 * worst)
    },
  )
})
