// The noise between phrases: third-octave levels of a take's quietest frames. Frames that contain
// runs of digital zero are excluded, since those come from edits, not from the room.

import { dbFromPower } from '../../maths/decibels.ts'
import type { FrameSpectrum } from './frame-spectrum.ts'
import { type BandLevels, createLongTermSpectrum } from './long-term-spectrum.ts'
import { THIRD_OCTAVES } from './third-octaves.ts'

/** The noise of the pauses. */
export interface NoiseFloor {
  readonly levelsDbfs: BandLevels
  /** RMS from 80 Hz up. */
  readonly levelDbfs: number
  readonly seconds: number
}

interface NoiseSpectrum {
  take(frame: Float64Array, spectrum: FrameSpectrum): void
  /** null: no pause, nothing but digital zero, or less than half a second of it. */
  floor(): NoiseFloor | null
}

/** Starts at this quantile of the frame levels; all up to SPREAD_DB above it are averaged, to avoid bias. */
const START_SHARE = 0.02
const SPREAD_DB = 4
/** Anything less far below the loud frames is voice or music (common practice). */
const MIN_DISTANCE_DB = 12
const MIN_SECONDS = 0.5
const ZERO_RUN_SAMPLES = 64
const FROM_HZ = 80

/** @param hopSeconds from one frame to the next */
export function createNoiseSpectrum(sampleRateHz: number, hopSeconds: number): NoiseSpectrum {
  const spectrum = createLongTermSpectrum(sampleRateHz)
  return {
    take(frame, measured) {
      if (!hasZeroRun(frame)) spectrum.take(measured)
    },
    floor() {
      const startDbfs = spectrum.levelAtShareDbfs(START_SHARE)
      const loudDbfs = spectrum.levelAtShareDbfs(0.95)
      if (startDbfs === null || loudDbfs === null) return null
      const quiet = spectrum.between(Number.NEGATIVE_INFINITY, startDbfs + SPREAD_DB)
      if (quiet === null || quiet.frames * hopSeconds < MIN_SECONDS) return null
      const levelDbfs = sumOfBands(quiet.levelsDbfs)
      if (loudDbfs - levelDbfs < MIN_DISTANCE_DB) return null
      return { levelsDbfs: quiet.levelsDbfs, levelDbfs, seconds: quiet.frames * hopSeconds }
    },
  }
}

function hasZeroRun(frame: Float64Array): boolean {
  let run = 0
  for (let n = 0; n < frame.length; n++) {
    run = frame[n] === 0 ? run + 1 : 0
    if (run === ZERO_RUN_SAMPLES) return true
  }
  return false
}

function sumOfBands(levelsDbfs: BandLevels): number {
  let sum = 0
  for (const [i, { nominalHz }] of THIRD_OCTAVES.entries()) {
    const levelDbfs = levelsDbfs[i]
    if (nominalHz >= FROM_HZ && levelDbfs !== null) sum += 10 ** (levelDbfs / 10)
  }
  return dbFromPower(sum)
}
