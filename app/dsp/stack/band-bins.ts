// Which bins of a spectrum belong to each third octave. A bin covers the band of one bin's width around its
// frequency, and is divided at the edges of the bands.

import { THIRD_OCTAVES } from '../analysis/spectra/third-octaves.ts'

/** The bins of one band, with the share of each that lies in it. */
export interface BandBins {
  /** Whole bins: `from` to `to`, without `to`. */
  readonly from: number
  readonly to: number
  /** Bins of which only a part lies in the band. */
  readonly edges: readonly { readonly bin: number; readonly share: number }[]
}

/** One entry for each band of THIRD_OCTAVES. */
export const bandBins = (binHz: number): BandBins[] =>
  THIRD_OCTAVES.map(({ lowerHz, upperHz }) => binsBetween(lowerHz / binHz, upperHz / binHz))

/** The bins between two frequencies, which are given in bins. */
function binsBetween(lower: number, upper: number): BandBins {
  const first = Math.floor(lower + 0.5)
  const last = Math.floor(upper + 0.5)
  if (first === last) return { from: first, to: first, edges: [{ bin: first, share: upper - lower }] }
  return {
    from: first + 1,
    to: last,
    edges: [
      { bin: first, share: first + 0.5 - lower },
      { bin: last, share: upper - (last - 0.5) },
    ],
  }
}
