// Measures the loudness and peaks of a stem. It makes no findings.

import { dbFromGain } from '../maths/decibels.ts'
import type { Channels } from '../stage.ts'
import { createLoudnessMeter } from './loudness.ts'
import { createSamplePeakMeter } from './sample-peak.ts'
import { createTruePeakMeter } from './true-peak.ts'

/** null: the stem has no value, too short or silent. */
export interface StemFacts {
  readonly integratedLufs: number | null
  readonly loudnessRangeLu: number | null
  readonly maxMomentaryLufs: number | null
  readonly maxShortTermLufs: number | null
  readonly truePeakDbtp: number | null
  readonly samplePeakDbfs: number | null
}

/** Loudness and peaks of one stem. */
export interface StemMeter {
  /** @param frames how many frames of every channel to take, finite values only */
  add(channels: Channels, frames: number): void
  facts(): StemFacts
}

/** @throws RangeError for a rate below 4 kHz or no channel */
export function createStemMeter(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): StemMeter {
  const loudness = createLoudnessMeter(layout)
  const truePeak = createTruePeakMeter(layout)
  const samplePeak = createSamplePeakMeter(layout)
  return {
    add(channels, frames) {
      loudness.add(channels, frames)
      truePeak.add(channels, frames)
      samplePeak.add(channels, frames)
    },
    facts() {
      const peak = samplePeak.samplePeak()
      return {
        integratedLufs: loudness.integratedLufs(),
        loudnessRangeLu: loudness.loudnessRangeLu(),
        maxMomentaryLufs: loudness.maxMomentaryLufs(),
        maxShortTermLufs: loudness.maxShortTermLufs(),
        truePeakDbtp: truePeak.truePeakDbtp(),
        samplePeakDbfs: peak > 0 ? dbFromGain(peak) : null,
      }
    },
  }
}
