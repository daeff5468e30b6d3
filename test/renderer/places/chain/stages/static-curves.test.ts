// The curves that the panels draw, against the published formula's values; and that what is
// drawn for the drive is the curve that sounds.

import { describe, expect, it } from 'vitest'
import { driveExcess } from '../../../../../app/dsp/stages/drive-curve.ts'
import {
  deEssReductionDb,
  driveOutput,
  expanderOutputDbfs,
  optoOutputDbfs,
} from '../../../../../renderer/places/chain/stages/static-curves.ts'
import { SOFT_KNEE_TABLE } from '../../../../dsp/stages/soft-knee-table.ts'

describe('static curves', () => {
  it('opto follows Giannoulis et al. 2012, eq. 4: threshold -20 dB, 4:1, knee 6 dB, to 0.0001 dB', () => {
    const settings = { thresholdDbfs: -20, ratio: 4, kneeDb: 6, makeUpDb: 0 }
    for (const [input, output] of SOFT_KNEE_TABLE) {
      expect(Math.abs(optoOutputDbfs(input, settings) - output)).toBeLessThan(1e-4)
    }
    expect(optoOutputDbfs(-40, { ...settings, makeUpDb: 3 })).toBe(-37)
    // Ratio 1 takes nothing; a knee of 0 is the hard one.
    expect(optoOutputDbfs(-3, { ...settings, ratio: 1 })).toBe(-3)
    expect(optoOutputDbfs(-12, { ...settings, kneeDb: 0 })).toBe(-18)
  })

  it('expander: 2:1 takes as many dB as the level lies under the threshold, and stops at its range', () => {
    const settings = { thresholdDbfs: -50, ratio: 2, rangeDb: 12 }
    expect(expanderOutputDbfs(-40, settings)).toBe(-40)
    expect(expanderOutputDbfs(-50, settings)).toBe(-50)
    expect(expanderOutputDbfs(-55, settings)).toBe(-60)
    expect(expanderOutputDbfs(-70, settings)).toBe(-82)
  })

  it('de-ess: a dB for each dB over the threshold, up to the range', () => {
    const settings = { thresholdDb: 2, rangeDb: 6 }
    expect(deEssReductionDb(-10, settings)).toBe(0)
    expect(deEssReductionDb(5, settings)).toBe(3)
    expect(deEssReductionDb(30, settings)).toBe(6)
  })

  it('drive is drawn as it sounds, and small samples pass as they are', () => {
    const settings = { amountDb: 6, referenceDbfs: -12, evenPercent: 40, mixPercent: 100, outputDb: 0 }
    const push = 10 ** ((6 + 12 - 12) / 20)
    const tanhBias = Math.tanh(0.2)
    for (let sample = -1; sample <= 1; sample += 0.05) {
      const sounding = sample * (1 + driveExcess(push * sample, tanhBias))
      expect(Math.abs(driveOutput(sample, settings) - sounding)).toBeLessThan(1e-9)
    }
    expect(driveOutput(1e-6, settings) / 1e-6).toBeCloseTo(1, 5)
    expect(driveOutput(0.7, { ...settings, mixPercent: 0 })).toBe(0.7)
  })
})
