// The output gain at which a driven sound is as loud as the clean one, whatever the mix.
//
// With x the clean sound, w the fully driven one, m the mix and g the output gain, the
// stage gives (1 - m) x + m g w (stages/drive.ts). Its power over the active blocks is a
// quadratic in g whose terms are the powers of x, of w, and of x + w, which contains their
// product. Setting it equal to the power of x gives g in one pass, without a search.

import { dbFromGain } from '../maths/decibels.ts'
import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { activeBlocks, createBlockPowers } from './equal-loudness.ts'

interface DriveMatch {
  /**
   * @param clean, driven the same moments, driven at mix 100 % and output 0 dB
   * @param frames at most BLOCK_FRAMES, finite values only
   */
  add(clean: Channels, driven: Channels, frames: number): void
  /** Output gain in dB at this mix; null where the clean sound is nowhere active, or the mix is 0. */
  outputDb(mixPercent: number): number | null
}

/** @param layout of the sound before and after the drive, one or two channels */
export function createDriveMatch(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): DriveMatch {
  const cleanPowers = createBlockPowers(layout)
  const drivenPowers = createBlockPowers(layout)
  const sumPowers = createBlockPowers(layout)
  const sum = Array.from({ length: layout.channels }, () => new Float64Array(BLOCK_FRAMES))
  return {
    add(clean, driven, frames) {
      for (let c = 0; c < sum.length; c++) {
        for (let i = 0; i < frames; i++) sum[c][i] = clean[c][i] + driven[c][i]
      }
      cleanPowers.add(clean, frames)
      drivenPowers.add(driven, frames)
      sumPowers.add(sum, frames)
    },
    outputDb(mixPercent) {
      const active = activeBlocks(cleanPowers.powers())
      const clean = sumOver(cleanPowers.powers(), active)
      const driven = sumOver(drivenPowers.powers(), active)
      const product = (sumOver(sumPowers.powers(), active) - clean - driven) / 2
      const mix = mixPercent / 100
      if (!(clean > 0 && driven > 0 && mix > 0)) return null
      // m^2 driven g^2 + 2 m (1 - m) product g - (1 - (1 - m)^2) clean = 0, divided by m.
      const squared = mix * driven
      const half = (1 - mix) * product
      const constant = (2 - mix) * clean
      return dbFromGain((Math.sqrt(half * half + squared * constant) - half) / squared)
    },
  }
}

function sumOver(powers: Float64Array, active: Uint8Array): number {
  let sum = 0
  for (let block = 0; block < active.length; block++) if (active[block] === 1) sum += powers[block]
  return sum
}
