// What is measured at a joint between two stages of a chain: level, peak, crest
// factor, the six strands, and the K-weighted blocks for equal loudness.

import { dbFromGain, dbFromPower } from '../maths/decibels.ts'
import { GrowingDoubles } from '../maths/growing-doubles.ts'
import type { Channels } from '../stage.ts'
import { activeBlocks, blockStartFrame, createBlockPowers } from './equal-loudness.ts'
import { sumOfSquares } from './power.ts'
import { createSamplePeakMeter } from './sample-peak.ts'
import { createStrandMeter } from './strands.ts'

/** null: the material has no value (too short or silent). */
interface JointLevels {
  /** RMS over the active blocks, mean of the channels; a full-scale sine reads -3.01. */
  readonly rmsLevelDbfs: number | null
  /** Greatest sample of any channel. */
  readonly samplePeakDbfs: number | null
  /** Sample peak over RMS level, dB: a sine has 3.01. */
  readonly crestFactorDb: number | null
  /** Six strands from rumble to air, RMS dBFS over the active blocks. */
  readonly strandLevelsDbfs: readonly (number | null)[]
}

/** Measures the sound at one joint of a chain. */
export interface JointMeter {
  /** @param frames how many frames of every channel to take, up to BLOCK_FRAMES, finite values only */
  add(channels: Channels, frames: number): void
  /**
   * @param active blocks that count for the RMS level, as from `activeBlocks`: give every
   * joint of a chain those of the first, so that levels and strands compare like with like; left out,
   * this joint's own
   */
  levels(active?: Uint8Array): JointLevels
  /** K-weighted mean squares per 100 ms block, for `loudnessDifferenceDb` between joints. */
  blockPowers(): Float64Array
  /** As `framePowers` of the strands; empty unless the layout asks for them. */
  spectrumPowers(): Float64Array
  /** As `frameThirds` of the strands. */
  spectrumThirds(): Uint8Array
}

/** @param layout of the lane at the joint */
export function createJointMeter(layout: {
  readonly sampleRateHz: number
  readonly channels: number
  readonly keepsSpectra?: boolean
}): JointMeter {
  const { sampleRateHz, channels: channelCount } = layout
  const loudness = createBlockPowers(layout)
  const peak = createSamplePeakMeter(layout)
  const strands = createStrandMeter({ ...layout, keepsFrames: layout.keepsSpectra })
  const meanSquares = new GrowingDoubles()
  const open = new Float64Array(1)
  let frame = 0

  /** Unweighted mean squares of the same blocks. */
  function addSquares(channels: Channels, frames: number): void {
    let from = 0
    while (from < frames) {
      const start = blockStartFrame(meanSquares.length, sampleRateHz)
      const end = blockStartFrame(meanSquares.length + 1, sampleRateHz)
      const to = Math.min(frames, from + end - frame)
      for (let c = 0; c < channelCount; c++) open[0] += sumOfSquares(channels[c], to - from, from)
      frame += to - from
      from = to
      if (frame === end) {
        meanSquares.push(open[0] / ((end - start) * channelCount))
        open[0] = 0
      }
    }
  }

  function activeMeanSquare(active: Uint8Array): number {
    const squares = meanSquares.values()
    let sum = 0
    let count = 0
    for (let block = 0; block < squares.length; block++) {
      if (active[block] === 1) {
        sum += squares[block]
        count++
      }
    }
    return count === 0 ? 0 : sum / count
  }

  return {
    add(channels, frames) {
      loudness.add(channels, frames)
      peak.add(channels, frames)
      strands.add(channels, frames)
      addSquares(channels, frames)
    },
    levels(active = activeBlocks(loudness.powers())) {
      const meanSquare = activeMeanSquare(active)
      const rmsLevelDbfs = meanSquare > 0 ? dbFromPower(meanSquare) : null
      const samplePeak = peak.samplePeak()
      const samplePeakDbfs = samplePeak > 0 ? dbFromGain(samplePeak) : null
      return {
        rmsLevelDbfs,
        samplePeakDbfs,
        crestFactorDb:
          rmsLevelDbfs === null || samplePeakDbfs === null ? null : samplePeakDbfs - rmsLevelDbfs,
        strandLevelsDbfs: strands.levelsDbfs(active),
      }
    },
    blockPowers: () => loudness.powers(),
    spectrumPowers: () => strands.framePowers(),
    spectrumThirds: () => strands.frameThirds(),
  }
}
