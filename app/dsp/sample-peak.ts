// Extremes and mean of every channel: sample peak and DC offset.

import type { Channels } from './stage.ts'

export interface SamplePeakMeter {
  /** @param frames how many frames of every channel to take, finite values only */
  add(channels: Channels, frames: number): void
  /** Greatest magnitude of any sample of any channel, linear, full scale = 1. */
  samplePeak(): number
  /** Linear mean of each channel; zeros before the first frame. */
  channelMeans(): number[]
  /** Lowest and highest sample of each channel in the last block, linear. */
  readonly blockLowest: Float64Array
  readonly blockHighest: Float64Array
}

export function createSamplePeakMeter(layout: { readonly channels: number }): SamplePeakMeter {
  const blockLowest = new Float64Array(layout.channels)
  const blockHighest = new Float64Array(layout.channels)
  const sums = new Float64Array(layout.channels)
  const greatest = new Float64Array(1)
  let count = 0
  return {
    blockLowest,
    blockHighest,
    add(channels, frames) {
      if (frames === 0) return
      for (let c = 0; c < sums.length; c++) {
        const samples = channels[c]
        let lowest = samples[0]
        let highest = lowest
        let sum = 0
        for (let n = 0; n < frames; n++) {
          const sample = samples[n]
          if (sample < lowest) lowest = sample
          if (sample > highest) highest = sample
          sum += sample
        }
        blockLowest[c] = lowest
        blockHighest[c] = highest
        sums[c] += sum
        greatest[0] = Math.max(greatest[0], highest, -lowest)
      }
      count += frames
    },
    samplePeak: () => greatest[0],
    channelMeans: () => Array.from(sums, (sum) => (count === 0 ? 0 : sum / count)),
  }
}
