// Sample peak and DC offset in one pass: extremes and mean of every channel, and
// whether all samples are measurable.

import type { Channels } from '../stage.ts'
import { type Survey, surveySamples } from './survey.ts'

/** The greatest 32-bit float: beyond it, squares overflow. */
const LARGEST_SAMPLE = 3.4028234663852886e38

/** Whether a sample can be measured: no NaN, not infinite, within the range of 32-bit float. */
export function isMeasurable(sample: number): boolean {
  return Math.abs(sample) <= LARGEST_SAMPLE
}

interface SamplePeakMeter {
  /**
   * @param frames how many frames of every channel to take
   * @returns false, and nothing is taken, when a sample is not measurable
   */
  add(channels: Channels, frames: number): boolean
  /** Greatest magnitude of any sample of any channel, linear, full scale = 1. */
  samplePeak(): number
  /** Linear mean of each channel; zeros before the first frame. */
  channelMeans(): number[]
}

/** @param layout any number of channels */
export function createSamplePeakMeter(layout: { readonly channels: number }): SamplePeakMeter {
  const surveys = Array.from({ length: layout.channels }, (): Survey => ({ lowest: 0, highest: 0, sum: 0 }))
  const sums = new Float64Array(layout.channels)
  const greatest = new Float64Array(1)
  let count = 0

  return {
    add(channels, frames) {
      if (frames === 0) return true
      for (let c = 0; c < sums.length; c++) {
        const survey = surveys[c]
        surveySamples(channels[c], 0, frames, survey)
        // Only the sum is certain to show NaN.
        if (Number.isNaN(survey.sum) || !isMeasurable(survey.lowest) || !isMeasurable(survey.highest)) {
          return false
        }
      }
      for (let c = 0; c < sums.length; c++) {
        const { lowest, highest, sum } = surveys[c]
        sums[c] += sum
        greatest[0] = Math.max(greatest[0], highest, -lowest)
      }
      count += frames
      return true
    },
    samplePeak: () => greatest[0],
    channelMeans: () => Array.from(sums, (sum) => (count === 0 ? 0 : sum / count)),
  }
}
