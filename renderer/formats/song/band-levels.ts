// Third-octave levels of a joint over a stretch of the song, from its rows.

import { BAND_POWERS, ROW_BANDS_HZ } from '../../../app/contract/song/joint-rows.ts'
import type { JointSums } from './joint-sums.ts'
import type { RowRange } from './range-figures.ts'

const BANDS = ROW_BANDS_HZ.length

/** Mean level of each of ROW_BANDS_HZ over the spectra of runs of rows, dBFS; null where nothing sounds. */
export function bandLevelsOver({ rows, count }: JointSums, runs: readonly RowRange[]): (number | null)[] {
  const sums = new Float64Array(BANDS)
  let spectra = 0
  for (const { fromRow, toRow } of runs) {
    // The last row of the take begins no spectrum.
    const end = Math.min(toRow, count - 1)
    for (let row = fromRow; row < end; row++) {
      for (let b = 0; b < BANDS; b++) sums[b] += BAND_POWERS[rows.thirds[row * BANDS + b]]
      spectra++
    }
  }
  return Array.from(sums, (sum) => (sum > 0 ? 10 * Math.log10(sum / spectra) : null))
}
