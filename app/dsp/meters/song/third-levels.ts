// Third octaves along the song: the levels of one spectrum a row, each in one byte, so that a song of minutes stays small.

import { THIRD_OCTAVES, thirdOctaveAt } from '../../analysis/spectra/third-octaves.ts'
import { dbFromPower } from '../../maths/decibels.ts'

/** From 80 Hz to 16 kHz: below, bands are narrower than a bin of the spectra of rows. */
export const SONG_BANDS = THIRD_OCTAVES.slice(thirdOctaveAt(80))

/** A byte is two times the level over this, dBFS; 0 stands for that level and everything below it. */
const FLOOR_DBFS = -115.5
const STEPS_PER_DB = 2

/** @param power mean square of a band, linear; a full-scale sine has 0.5 */
function thirdByteOf(power: number): number {
  if (power <= 0) return 0
  return Math.min(255, Math.max(0, Math.round(STEPS_PER_DB * (dbFromPower(power) - FLOOR_DBFS))))
}

/** Levels of spectra, one after the other. */
export interface ThirdLevels {
  /** @param powers one mean square for each of SONG_BANDS from index `from` on, to be multiplied by `scale` */
  add(powers: Float64Array, from: number, scale: number): void
  /** One byte for each band of each spectrum so far. */
  bytes(): Uint8Array
}

export function createThirdLevels(): ThirdLevels {
  const bands = SONG_BANDS.length
  let kept = new Uint8Array(256 * bands)
  let filled = 0
  return {
    add(powers, from, scale) {
      if (filled === kept.length) {
        const longer = new Uint8Array(2 * kept.length)
        longer.set(kept)
        kept = longer
      }
      for (let b = 0; b < bands; b++) kept[filled + b] = thirdByteOf(powers[from + b] * scale)
      filled += bands
    },
    bytes: () => kept.subarray(0, filled),
  }
}
