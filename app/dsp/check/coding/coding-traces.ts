// Whether a take went through a lossy coder, by what its quantisation leaves in the samples. A coder transforms
// frames and rounds their coefficients to few values. The same transform of the decoded sound gives those
// values again if its frames begin at the same samples, and ordinary ones if they begin one sample beside; so
// every offset is tried, and the take is its own reference. It works at all rates at which a coder still
// rounds more coarsely than the take's samples do, and only where take and coder have the same sample rate.
// After Derrien (2019), "Detection of genuine lossless audio files", J. Audio Eng. Soc. 67(3), and Yang, Qu and
// Huang (2009), "Defeating fake-quality MP3" (both from memory); counting pairs of equal magnitude is our own.

import { BAND_LINES, equalMagnitudes } from './equal-magnitudes.ts'
import { type GridPeak, gridPeak, gridPeakAt } from './frame-grid.ts'
import { createLayerThreeBank, GRANULE } from './layer-three-bank.ts'
import { createLoudStretches, STRETCH_HOP, type Stretch } from './loud-stretches.ts'
import { createSlidingMdct, MDCT_HOP, type SineSeries } from './sliding-mdct.ts'
import { kaiserBesselWindow, sineSeries, sineWindow, vorbisWindow } from './windows.ts'

/** MPEG layer III, MPEG-2/4 AAC, Vorbis I. */
export type Coder = 'mp3' | 'aac' | 'vorbis'

/** Traces of a coder. */
export interface CodingTraces {
  readonly coder: Coder
  /** Pairs of equal coefficients where the coder's frames begin, as a multiple of those elsewhere. */
  readonly ratio: number
  /** How far they stand out, in standard deviations. */
  readonly deviations: number
}

interface CodingSearch {
  /** Takes `count` samples, any number, from index `from` on. */
  add(samples: Float64Array, from: number, count: number): void
  /** null without traces, and for takes of less than about a second. */
  traces(): CodingTraces | null
}

/** One transform whose frames are looked for. */
interface Candidate {
  readonly coder: Coder
  /** Number of offsets at which its frames can begin. */
  readonly offsets: number
  /** The window of an MDCT with 1024 coefficients; null for the hybrid bank of layer III. */
  readonly window: SineSeries | null
}

/** Of these, the loudest are searched and the others must confirm what was found there. */
const MOST_STRETCHES = 6
const LEAST_STRETCHES = 4
/** One more stretch is searched for each of these lengths, so that the effort is a small part of the check's. */
const SECONDS_PER_SEARCH = 60
const MOST_SEARCHED = 3
/** Chance reaches it at one of 1024 offsets in about every third search. */
const CANDIDATE_DEVIATIONS = 3.3
/** At an offset that is known beforehand, chance reaches it once in 3 million searches. */
export const LEAST_DEVIATIONS = 5
export const LEAST_RATIO = 1.25
/** Coefficients 256 to 319 of 1024: 6 to 7.5 kHz at 48 kHz, where a voice's sibilants are loud. */
const FIRST_LINE = 256
const LINE_BANDS = 4
/** Bands 8 to 11 of 32: 6 to 9 kHz at 48 kHz. */
const FIRST_HYBRID_BAND = 8
const HYBRID_BANDS = 4
/** The windows of AAC and Vorbis are these many sines, but for errors of -58 dB. */
const WINDOW_TERMS = 8
/** Short blocks of Vorbis move its long ones by multiples of this. */
const VORBIS_STEP = 128

export function createCodingSearch(sampleRateHz: number): CodingSearch {
  const loud = createLoudStretches(MOST_STRETCHES)
  let frames = 0
  return {
    add(samples, from, count) {
      loud.add(samples, from, count)
      frames += count
    },
    traces() {
      const stretches = loud.stretches()
      if (stretches.length < LEAST_STRETCHES) return null
      const searched = Math.min(MOST_SEARCHED, 1 + Math.floor(frames / sampleRateHz / SECONDS_PER_SEARCH))
      return tracesIn(stretches, Math.min(searched, stretches.length / 2))
    },
  }
}

function tracesIn(stretches: readonly Stretch[], searched: number): CodingTraces | null {
  const count = createCounter()
  const kaiserBessel = kaiserBesselWindow()
  const candidates: Candidate[] = [
    { coder: 'mp3', offsets: GRANULE, window: null },
    { coder: 'aac', offsets: MDCT_HOP, window: sineSeries((n) => kaiserBessel[n], WINDOW_TERMS) },
    { coder: 'aac', offsets: MDCT_HOP, window: sineSeries(sineWindow, 1) },
    { coder: 'vorbis', offsets: VORBIS_STEP, window: sineSeries(vorbisWindow, WINDOW_TERMS) },
  ]
  const found = count(stretches.slice(0, searched), candidates)
  let best: (GridPeak & { readonly coder: Coder }) | null = null
  for (const [i, candidate] of candidates.entries()) {
    const { offset, deviations } = gridPeak(found[i])
    if (deviations < CANDIDATE_DEVIATIONS) continue
    const [others] = count(stretches.slice(searched), [candidate])
    const peak = gridPeakAt(others, offset)
    if (peak.deviations < LEAST_DEVIATIONS || peak.ratio < LEAST_RATIO) continue
    if (best === null || peak.deviations > best.deviations) best = { ...peak, coder: candidate.coder }
  }
  return best && { coder: best.coder, ratio: best.ratio, deviations: best.deviations }
}

/** Counts pairs of equal magnitude in stretches, by the offset at which frames begin. */
function createCounter(): (
  stretches: readonly Stretch[],
  candidates: readonly Candidate[],
) => Float64Array[] {
  const mdct = createSlidingMdct(FIRST_LINE, LINE_BANDS * BAND_LINES, WINDOW_TERMS)
  const hybrid = createLayerThreeBank(FIRST_HYBRID_BAND, HYBRID_BANDS, STRETCH_HOP)
  const lines = new Float64Array(Math.max(LINE_BANDS * BAND_LINES, hybrid.coefficients))
  const hybridBands = Math.floor(hybrid.coefficients / BAND_LINES)

  return (stretches, candidates) => {
    const counts = candidates.map(({ offsets }) => new Float64Array(offsets))
    const withWindow = candidates.flatMap(({ window, offsets }, i) =>
      window === null ? [] : [{ window, offsets, counts: counts[i] }],
    )
    for (const { samples } of stretches) {
      for (const [i, { window }] of candidates.entries()) {
        if (window !== null) continue
        hybrid.start(samples, 0, STRETCH_HOP)
        for (let n = 0; n < STRETCH_HOP; n++) {
          hybrid.read(n, lines)
          counts[i][n % GRANULE] += equalMagnitudes(lines, hybridBands)
        }
      }
      if (withWindow.length === 0) continue
      mdct.start(samples, 0)
      for (let n = 0; n < STRETCH_HOP; n++) {
        for (const { window, offsets, counts: own } of withWindow) {
          mdct.read(window, lines)
          own[n % offsets] += equalMagnitudes(lines, LINE_BANDS)
        }
        mdct.next()
      }
    }
    return counts
  }
}
