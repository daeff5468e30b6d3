// How much louder one side of a comparison is, so that bypass can be judged at
// equal loudness. Both sides are measured over the same blocks, picked once from
// the dry signal: gating each side by itself picks different blocks before and
// after compression and misses by half a LU or more.

import { dbFromPower, gainFromDb } from '../maths/decibels.ts'
import { GrowingDoubles } from '../maths/growing-doubles.ts'
import type { Channels } from '../stage.ts'
import { createKWeightedEnergy } from './k-weighting.ts'
import { ABSOLUTE_GATE_POWER, loudnessChannelWeights, OFFSET_LU } from './loudness.ts'

/** Blocks are consecutive and do not overlap, so that a short loop still has some. */
export const BLOCKS_PER_SECOND = 10
/** BS.1770-5 Annex 1 eq. 7: 10 LU below what passed the absolute gate. */
const RELATIVE_GATE_RATIO = 0.1

/** K-weighted mean squares, summed over channels, of consecutive 100 ms blocks. */
interface BlockPowers {
  /** @param frames how many frames of every channel to take, finite values only */
  add(channels: Channels, frames: number): void
  /** The complete blocks so far, linear, full scale = 1. */
  powers(): Float64Array
}

/** First frame of a block; block b ends where block b + 1 begins. */
export function blockStartFrame(block: number, sampleRateHz: number): number {
  return Math.round((block * sampleRateHz) / BLOCKS_PER_SECOND)
}

/** @param layout one or two channels */
export function createBlockPowers(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): BlockPowers {
  const { sampleRateHz } = layout
  const filter = createKWeightedEnergy(sampleRateHz, loudnessChannelWeights(layout.channels))
  const powers = new GrowingDoubles()
  const open = new Float64Array(1)
  let frame = 0
  return {
    add(channels, frames) {
      let from = 0
      while (from < frames) {
        const start = blockStartFrame(powers.length, sampleRateHz)
        const end = blockStartFrame(powers.length + 1, sampleRateHz)
        const to = Math.min(frames, from + end - frame)
        open[0] += filter.add(channels, from, to)
        frame += to - from
        from = to
        if (frame === end) {
          powers.push(open[0] / (end - start))
          open[0] = 0
        }
      }
    },
    powers: () => powers.values(),
  }
}

/**
 * Which blocks carry the programme: above -70 LUFS, and above 10 LU below the mean of
 * those (the gates of BS.1770-5 Annex 1 on 100 ms blocks). 1 for active, 0 for not.
 */
export function activeBlocks(dryPowers: Float64Array): Uint8Array {
  let sum = 0
  let count = 0
  for (const power of dryPowers) {
    if (power > ABSOLUTE_GATE_POWER) {
      sum += power
      count++
    }
  }
  const gate = Math.max(ABSOLUTE_GATE_POWER, count === 0 ? 0 : (sum / count) * RELATIVE_GATE_RATIO)
  return Uint8Array.from(dryPowers, (power) => (power > gate ? 1 : 0))
}

/**
 * Loudness of wet minus dry in dB over blocks `fromBlock` up to `toBlock` (excluded),
 * counted where the dry signal is active within that span. null: no active block, or
 * wet is silent there.
 */
export function loudnessDifferenceDb(
  dryPowers: Float64Array,
  wetPowers: Float64Array,
  fromBlock: number,
  toBlock: number,
): number | null {
  const end = Math.min(toBlock, dryPowers.length, wetPowers.length)
  const active = activeBlocks(dryPowers.subarray(fromBlock, end))
  let dry = 0
  let wet = 0
  for (let block = fromBlock; block < end; block++) {
    if (active[block - fromBlock] === 0) continue
    dry += dryPowers[block]
    wet += wetPowers[block]
  }
  return dry > 0 && wet > 0 ? dbFromPower(wet / dry) : null
}

/** Gains that make both sides equally loud by lowering the louder one; neither is ever raised. */
export function matchGainsDb(differenceDb: number): { readonly dryDb: number; readonly wetDb: number } {
  return { dryDb: Math.min(0, differenceDb), wetDb: Math.min(0, -differenceDb) }
}

/** The difference of both sides is raised by so much at most, so that the noise under a small one stays low. */
const MAX_CHANGE_LIFT_DB = 24
/** What is left of powers that cancel to this share is rounding. */
const CANCELLED_SHARE = 1e-13

/**
 * Gain in dB for wet minus dry, both at equal loudness, that makes it as loud as they are over the blocks where
 * dry is active. No block gets louder than the loudest of dry, so that what is removed from single sounds does
 * not hurt. The power of a sum gives the product of its parts: |a + b|² = |a|² + |b|² + 2ab.
 * @param differenceDb loudness of wet minus dry over these blocks, by `loudnessDifferenceDb`
 * @param sumPowers of dry plus wet, block by block as the others
 * @returns null where the two differ by nothing but their level
 */
export function changeGainDb(
  differenceDb: number,
  dryPowers: Float64Array,
  wetPowers: Float64Array,
  sumPowers: Float64Array,
  fromBlock: number,
  toBlock: number,
): number | null {
  const end = Math.min(toBlock, dryPowers.length, wetPowers.length, sumPowers.length)
  const active = activeBlocks(dryPowers.subarray(fromBlock, end))
  const wetGain = gainFromDb(-differenceDb)
  let dry = 0
  let change = 0
  let loudestDry = 0
  let loudestChange = 0
  for (let block = fromBlock; block < end; block++) {
    const wet = wetGain ** 2 * wetPowers[block]
    const product = (wetGain * (sumPowers[block] - dryPowers[block] - wetPowers[block])) / 2
    const cancelled = CANCELLED_SHARE * (wet + dryPowers[block])
    const left = wet + dryPowers[block] - 2 * product
    const power = left > cancelled ? left : 0
    loudestDry = Math.max(loudestDry, dryPowers[block])
    loudestChange = Math.max(loudestChange, power)
    if (active[block - fromBlock] === 0) continue
    dry += dryPowers[block]
    change += power
  }
  if (change === 0) return null
  return Math.min(MAX_CHANGE_LIFT_DB, dbFromPower(dry / change), dbFromPower(loudestDry / loudestChange))
}

/** Loudness of the marked blocks in LUFS (BS.1770-5 Annex 1 eq. 2, without further gating); null where there is none. */
export function loudnessOfBlocks(powers: Float64Array, active: Uint8Array): number | null {
  let sum = 0
  let count = 0
  for (let block = 0; block < powers.length; block++) {
    if (active[block] !== 1) continue
    sum += powers[block]
    count++
  }
  return sum > 0 ? OFFSET_LU + dbFromPower(sum / count) : null
}
