// Long-term average spectrum in third-octave bands (IEC 61260-1): the mean power of
// many frames; the quiet ones are excluded at the end.

import { dbFromPower } from '../../maths/decibels.ts'
import { pointsAtRate } from '../../maths/points-at-rate.ts'
import type { FrameSpectrum } from './frame-spectrum.ts'
import { createLevelClasses } from './level-classes.ts'
import { THIRD_OCTAVES } from './third-octaves.ts'

/** Welch's method: frames of 85 ms with 50 % overlap (43 ms apart). */
const LONG_FRAME_POINTS_AT_48K = 4096

/** Samples of a frame: a power of two, 4096 at 48 kHz. */
export function longFramePoints(sampleRateHz: number): number {
  return pointsAtRate(LONG_FRAME_POINTS_AT_48K, sampleRateHz)
}

/** RMS level of each of THIRD_OCTAVES in dBFS; null for an empty band or one that exceeds half the rate. */
export type BandLevels = readonly (number | null)[]

interface LongTermSpectrum {
  readonly frames: number
  /** Adds the last measured frame of `spectrum`. */
  take(spectrum: FrameSpectrum): void
  /** Mean over the frames from `fromDbfs` up to `toDbfs` (levels of whole frames); null if there are none. */
  between(
    fromDbfs: number,
    toDbfs: number,
  ): { readonly frames: number; readonly levelsDbfs: BandLevels } | null
  levelAtShareDbfs(share: number): number | null
}

/** Sums spectra of `longFramePoints` samples. */
export function createLongTermSpectrum(sampleRateHz: number): LongTermSpectrum {
  const bands = THIRD_OCTAVES.filter((band) => band.upperHz <= sampleRateHz / 2)
  const powers = new Float64Array(bands.length)
  const classes = createLevelClasses(bands.length)
  return {
    get frames() {
      return classes.frames
    },
    take(spectrum) {
      for (let b = 0; b < bands.length; b++) {
        powers[b] = spectrum.bandPower(bands[b].lowerHz, bands[b].upperHz)
      }
      const whole = spectrum.bandPower(0, sampleRateHz)
      if (whole > 0) classes.add(whole, powers)
    },
    between(fromDbfs, toDbfs) {
      const mean = classes.meansBetween(fromDbfs, toDbfs)
      if (mean === null) return null
      const levelsDbfs = THIRD_OCTAVES.map((_, b) =>
        b < bands.length && mean.means[b] > 0 ? dbFromPower(mean.means[b]) : null,
      )
      return { frames: mean.frames, levelsDbfs }
    },
    levelAtShareDbfs: (share) => classes.levelAtShareDbfs(share),
  }
}
