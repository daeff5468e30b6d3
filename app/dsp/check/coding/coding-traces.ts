// Whether a take went through a lossy coder, by what its quantisation leaves in the samples. A coder transforms
// frames and rounds their coefficients to few values. The same transform of the decoded sound gives those
// values again if its frames begin at the same samples, and ordinary ones if they begin one sample beside; so
// every offset is tried, and the take is its own reference. It works at all bit rates at which a coder still
// rounds more coarsely than the take's samples do, and only where take and coder have the same sample rate.
// After Derrien (2019), "Detection of genuine lossless audio files", J. Audio Eng. Soc. 67(3), and Yang, Qu and
// Huang (2009), "Defeating fake-quality MP3" (both from memory); counting pairs of equal magnitude is our own.

import { areAlike, type GridPeak, greatestAt, gridPeak } from './frame-grid.ts'
import { countGranulePairs, GRANULE } from './granule-frames.ts'
import { createLoudStretches, type Stretch } from './loud-stretches.ts'
import { countMdctPairs, MDCT_HOP } from './mdct-frames.ts'
import { kaiserBesselWindow, type SineSeries, sineSeries, sineWindow, vorbisWindow } from './windows.ts'

/** Traces of a coder. */
export interface CodingTraces {
  /** MPEG-1 layer III, MPEG-4 AAC, Vorbis I. */
  readonly coder: 'mp3' | 'aac' | 'vorbis'
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

/** A transform whose frames are looked for. */
interface Candidate {
  readonly coder: CodingTraces['coder']
  /** Number of offsets at which its frames can begin. */
  readonly offsets: number
  /** The window of an MDCT with 1024 coefficients; null for the hybrid bank of layer III. */
  readonly window: SineSeries | null
}

/** The loudest of these are searched, and the others have to confirm what was found there. */
const MOST_STRETCHES = 6
const LEAST_STRETCHES = 4
const LEAST_CONFIRMING = 2
/** One more stretch is searched for each of these lengths, so that the effort stays a small part of the check's. */
const SECONDS_PER_SEARCH = 90
const MOST_SEARCHED = 3
/** Chance reaches this at one of 1024 offsets in about every third search. */
const CANDIDATE_DEVIATIONS = 3.3
/** At an offset that is known beforehand, chance reaches this once in 3 million searches. */
const LEAST_DEVIATIONS = 5
export const LEAST_RATIO = 1.25
/** Too few to go on; chance stays below it in five of six searches. */
const DOUBTFUL_DEVIATIONS = 1
/** Sure enough to leave the other stretches out. */
const SURE_DEVIATIONS = 10
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
      const split = Math.min(searched, stretches.length - LEAST_CONFIRMING)
      return tracesIn(stretches.slice(0, split), stretches.slice(split))
    },
  }
}

function tracesIn(searched: readonly Stretch[], confirming: readonly Stretch[]): CodingTraces | null {
  const candidates = transforms()
  const sums = candidates.map(({ offsets }) => new Float64Array(offsets))
  for (const stretch of searched) {
    for (const [i, counts] of countPairs(stretch, candidates).entries()) addTo(sums[i], counts)
  }
  let best: CodingTraces | null = null
  for (const [i, candidate] of candidates.entries()) {
    const offset = greatestAt(sums[i])
    if (gridPeak(sums[i], offset).deviations < CANDIDATE_DEVIATIONS) continue
    const peak = confirmedPeak(confirming, candidate, offset, sums[i])
    if (peak !== null && peak.deviations > (best?.deviations ?? 0)) best = { coder: candidate.coder, ...peak }
  }
  return best
}

function transforms(): Candidate[] {
  const kaiserBessel = kaiserBesselWindow()
  return [
    { coder: 'mp3', offsets: GRANULE, window: null },
    { coder: 'aac', offsets: MDCT_HOP, window: sineSeries((n) => kaiserBessel[n]) },
    { coder: 'aac', offsets: MDCT_HOP, window: sineSeries(sineWindow) },
    { coder: 'vorbis', offsets: VORBIS_STEP, window: sineSeries(vorbisWindow) },
  ]
}

/** The peak that other stretches have at the offset that was found; null if it is not there. */
function confirmedPeak(
  stretches: readonly Stretch[],
  candidate: Candidate,
  offset: number,
  searched: Float64Array,
): GridPeak | null {
  const sums = new Float64Array(candidate.offsets)
  let confirming = 0
  let peak: GridPeak | null = null
  for (const stretch of stretches) {
    const [counts] = countPairs(stretch, [candidate])
    if (areAlike(counts, searched, offset)) continue
    addTo(sums, counts)
    peak = gridPeak(sums, offset)
    confirming++
    if (peak.deviations < DOUBTFUL_DEVIATIONS) return null
    if (peak.deviations >= SURE_DEVIATIONS && confirming >= LEAST_CONFIRMING) break
  }
  if (peak === null || confirming < LEAST_CONFIRMING) return null
  return peak.deviations >= LEAST_DEVIATIONS && peak.ratio >= LEAST_RATIO ? peak : null
}

/** Pairs of equal magnitude in a stretch, by the offset at which frames begin: an array for each candidate. */
function countPairs(stretch: Stretch, candidates: readonly Candidate[]): Float64Array[] {
  const windows = candidates.flatMap(({ window }) => (window === null ? [] : [window]))
  const underWindows = windows.length > 0 ? countMdctPairs(stretch, windows) : []
  return candidates.map(({ window, offsets }) =>
    window === null ? countGranulePairs(stretch) : foldedTo(offsets, underWindows[windows.indexOf(window)]),
  )
}

function foldedTo(offsets: number, counts: Float64Array): Float64Array {
  if (counts.length === offsets) return counts
  const folded = new Float64Array(offsets)
  for (let o = 0; o < counts.length; o++) folded[o % offsets] += counts[o]
  return folded
}

function addTo(sums: Float64Array, counts: Float64Array): void {
  for (let o = 0; o < sums.length; o++) sums[o] += counts[o]
}
