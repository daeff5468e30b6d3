// Extremes and mean of every channel, and whether all samples are numbers at all:
// sample peak and DC offset in one look at each sample.

import type { Channels } from './stage.ts'

/** The greatest 32-bit float: what lies beyond is no sound, and its square no number. */
const LARGEST_SAMPLE = 3.4028234663852886e38

/** Whether a sample can be measured: no NaN, not infinite, within the range of 32-bit float. */
export function isMeasurable(sample: number): boolean {
  return Math.abs(sample) <= LARGEST_SAMPLE
}

export interface SamplePeakMeter {
  /**
   * @param frames how many frames of every channel to take
   * @returns false, and nothing is taken, where a sample is not measurable
   */
  add(channels: Channels, frames: number): boolean
  /** Greatest magnitude of any sample of any channel, linear, full scale = 1. */
  samplePeak(): number
  /** Linear mean of each channel; zeros before the first frame. */
  channelMeans(): number[]
}

export function createSamplePeakMeter(layout: { readonly channels: number }): SamplePeakMeter {
  const blockLowest = new Float64Array(layout.channels)
  const blockHighest = new Float64Array(layout.channels)
  const blockSums = new Float64Array(layout.channels)
  const sums = new Float64Array(layout.channels)
  const greatest = new Float64Array(1)
  let count = 0

  function survey(samples: Float64Array, frames: number, channel: number): void {
    let lowest = samples[0]
    let highest = lowest
    // Four sums, so that one addition does not wait for the last.
    let a = 0
    let b = 0
    let c = 0
    let d = 0
    let n = 0
    for (; n + 3 < frames; n += 4) {
      const p = samples[n]
      const q = samples[n + 1]
      const r = samples[n + 2]
      const s = samples[n + 3]
      if (p < lowest) lowest = p
      if (p > highest) highest = p
      if (q < lowest) lowest = q
      if (q > highest) highest = q
      if (r < lowest) lowest = r
      if (r > highest) highest = r
      if (s < lowest) lowest = s
      if (s > highest) highest = s
      a += p
      b += q
      c += r
      d += s
    }
    for (; n < frames; n++) {
      const sample = samples[n]
      if (sample < lowest) lowest = sample
      if (sample > highest) highest = sample
      a += sample
    }
    blockLowest[channel] = lowest
    blockHighest[channel] = highest
    blockSums[channel] = a + b + (c + d)
  }

  return {
    add(channels, frames) {
      if (frames === 0) return true
      for (let c = 0; c < sums.length; c++) {
        survey(channels[c], frames, c)
        // NaN shows in the sum alone.
        if (Number.isNaN(blockSums[c]) || !isMeasurable(blockLowest[c]) || !isMeasurable(blockHighest[c])) {
          return false
        }
      }
      for (let c = 0; c < sums.length; c++) {
        sums[c] += blockSums[c]
        greatest[0] = Math.max(greatest[0], blockHighest[c], -blockLowest[c])
      }
      count += frames
      return true
    },
    samplePeak: () => greatest[0],
    channelMeans: () => Array.from(sums, (sum) => (count === 0 ? 0 : sum / count)),
  }
}
