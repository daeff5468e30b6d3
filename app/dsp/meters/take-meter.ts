// Everything that is measured of an incoming take, in one pass: loudness, peaks, DC
// offset and findings. An unmeasurable sample stops the measurement there, so that all
// figures are valid for the frames before it.

import { dbFromGain } from '../maths/decibels.ts'
import type { Channels } from '../stage.ts'
import { ClippedRuns } from './clipped-runs.ts'
import { DigitalZero } from './digital-zero.ts'
import type { Finding } from './finding.ts'
import { firstOccurrenceSeconds } from './first-occurrences.ts'
import { createLoudnessMeter } from './loudness.ts'
import { createSamplePeakMeter, isMeasurable } from './sample-peak.ts'
import type { StemFacts } from './stem-meter.ts'
import { takeFindings } from './take-findings.ts'
import { createTruePeakMeter } from './true-peak.ts'

/** null: the material has no value (too short or silent). */
export interface MeterFacts extends StemFacts {
  readonly sampleRateHz: number
  readonly channels: number
  /** All frames that were added. */
  readonly frames: number
  /** Linear mean with the greatest magnitude of all channels, full scale = 1; null for no frames. */
  readonly dcOffset: number | null
  readonly channelDcOffsets: readonly number[]
  /**
   * The first sample that is NaN, infinite or beyond 32-bit float. All figures and findings then cover the
   * frames before it alone.
   */
  readonly firstNonFinite: { readonly channel: number; readonly frame: number } | null
  readonly findings: readonly Finding[]
}

/** Measures a take that is added block by block. */
export interface TakeMeter {
  /** @param frames how many frames of every channel to take, any number */
  add(channels: Channels, frames: number): void
  /** Whether every sample so far was measurable. */
  isFinite(): boolean
  /** The facts so far; can be read at any time. */
  facts(): MeterFacts
}

/** @throws RangeError for a rate below 4 kHz or no channel */
export function createTakeMeter(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): TakeMeter {
  const { sampleRateHz, channels: channelCount } = layout
  const loudness = createLoudnessMeter(layout)
  const truePeak = createTruePeakMeter(layout)
  const samplePeak = createSamplePeakMeter(layout)
  const clipped = Array.from({ length: channelCount }, () => new ClippedRuns(sampleRateHz))
  const digitalZero = new DigitalZero(sampleRateHz)
  let frames = 0
  let measuredFrames = 0
  let firstNonFinite: MeterFacts['firstNonFinite'] = null

  /** Adds a block to the peak meter up to the first unmeasurable sample; returns the frames added. */
  function addFinite(channels: Channels, blockFrames: number): number {
    if (samplePeak.add(channels, blockFrames)) return blockFrames
    let finite = blockFrames
    for (let c = 0; c < channelCount; c++) {
      for (let n = 0; n < finite; n++) {
        if (isMeasurable(channels[c][n])) continue
        finite = n
        firstNonFinite = { channel: c, frame: frames + n }
      }
    }
    samplePeak.add(channels, finite)
    return finite
  }

  return {
    add(channels, blockFrames) {
      if (firstNonFinite === null) {
        const finite = addFinite(channels, blockFrames)
        loudness.add(channels, finite)
        truePeak.add(channels, finite)
        digitalZero.add(channels, finite)
        for (let c = 0; c < channelCount; c++) {
          clipped[c].add(channels[c], finite)
        }
        measuredFrames += finite
      }
      frames += blockFrames
    },
    isFinite: () => firstNonFinite === null,
    facts() {
      const channelDcOffsets = samplePeak.channelMeans()
      const dcOffset = channelDcOffsets.reduce((worst, mean) =>
        Math.abs(mean) > Math.abs(worst) ? mean : worst,
      )
      const peak = samplePeak.samplePeak()
      const truePeakDbtp = truePeak.truePeakDbtp()
      return {
        sampleRateHz,
        channels: channelCount,
        frames,
        integratedLufs: loudness.integratedLufs(),
        loudnessRangeLu: loudness.loudnessRangeLu(),
        maxMomentaryLufs: loudness.maxMomentaryLufs(),
        maxShortTermLufs: loudness.maxShortTermLufs(),
        truePeakDbtp,
        samplePeakDbfs: peak > 0 ? dbFromGain(peak) : null,
        dcOffset: measuredFrames === 0 ? null : dcOffset,
        channelDcOffsets,
        firstNonFinite,
        findings: takeFindings({
          measuredFrames,
          clippedRuns: clipped.reduce((sum, runs) => sum + runs.count(), 0),
          clippedPlaces: clipped.flatMap((runs) => runs.places()).sort((a, b) => a.fromS - b.fromS),
          dcOffset,
          samplePeak: peak,
          truePeakDbtp,
          oversAtSeconds: truePeak.oversAtSeconds(),
          digitalZeroFrames: digitalZero.frames(),
          digitalZeroAtSeconds: firstOccurrenceSeconds([digitalZero.places], sampleRateHz),
        }),
      }
    },
  }
}
