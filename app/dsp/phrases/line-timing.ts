// How far a line of another take is from the guide's, onset by onset: the coarse place is followed by a finer warping path
// of 5 ms, whose distance from the diagonal is read where the guide's syllables begin. The median of these, and not the
// lag at which whole lines correlate best, is how late the line is: such a lag settles where syllables cluster.
// Source: features and steps as in line-search.ts, with onset strength as in Bello et al., IEEE TSAP 13(5), 2005.

import { createFrameSpectrum } from '../analysis/spectra/frame-spectrum.ts'
import { median } from '../maths/median.ts'
import { pointsAtRate } from '../maths/points-at-rate.ts'
import { CEPSTRA, cepstraOf } from './cepstra.ts'
import { MEL_BANDS, melEdges } from './voice-frames.ts'

/** A stretch of mono sound. */
export interface Segment {
  readonly samples: Float64Array
  readonly sampleRateHz: number
  /** Where it begins in its take. */
  readonly fromS: number
}

/** An onset of the guide and how much later the take's is. */
export interface OnsetOffset {
  /** In the guide. */
  readonly atS: number
  readonly offsetS: number
}

const HOP_SECONDS = 0.005
const POINTS_AT_48K = 1024
/** Onset strengths: rises of so many bands, over this time, with this weight beside the cepstra. */
const FLUX_BANDS = 13
const RISE_FRAMES = 6
const FLUX_WEIGHT = 0.5
const WIDTH = CEPSTRA + FLUX_BANDS
/** The path stays this close to the coarse offset, and pays for each step off the diagonal. */
const REACH_FRAMES = 30
const OFF_DIAGONAL = 0.1
const ACTIVE_WITHIN_DB = 35
/** Onsets are those of vowels, which rise in the lower bands, to about 3 kHz. */
const ONSET_BANDS = 8
/** Onsets: greatest rise within this time, at least this share of the strong ones. */
const ONSET_APART_FRAMES = 14
const ONSET_SHARE = 0.25
const STRONG_QUANTILE = 0.95
/** The path is averaged over this many frames on each side of an onset. */
const SMOOTH_FRAMES = 5
/** An offset that differs from both neighbours by more is an error of the path. */
const OUTLIER_SECONDS = 0.04

/**
 * Offsets at the onsets of a line.
 * @param guide, take the line in both, with 0.1 s and more around it in the guide and 0.2 s in the take
 * @param offsetS how much later the line is in the take, to 0.1 s
 * @param topHz of the mel bands
 */
export function onsetOffsets(guide: Segment, take: Segment, offsetS: number, topHz: number): OnsetOffset[] {
  const line = featuresOf(guide, topHz)
  const other = featuresOf(take, topHz)
  const shift = Math.round((guide.fromS + offsetS - take.fromS) / HOP_SECONDS)
  const path = bandedPath(line, other, shift)
  const exact = guide.fromS - take.fromS
  const offsets = line.onsets.flatMap((t): OnsetOffset[] => {
    let sum = 0
    let count = 0
    for (let i = Math.max(0, t - SMOOTH_FRAMES); i <= Math.min(line.count - 1, t + SMOOTH_FRAMES); i++) {
      if (Number.isNaN(path[i])) continue
      sum += path[i] - i
      count++
    }
    return count === 0
      ? []
      : [{ atS: guide.fromS + t * HOP_SECONDS, offsetS: (sum / count) * HOP_SECONDS - exact }]
  })
  return offsets.filter((offset, i) => !isOutlier(offset, offsets[i - 1], offsets[i + 1]))
}

/** The offset of the whole line, seconds; null where it has no onset. */
export function medianOffset(offsets: readonly OnsetOffset[]): number | null {
  if (offsets.length === 0) return null
  const sorted = offsets.map(({ offsetS }) => offsetS).sort((a, b) => a - b)
  const half = sorted.length >> 1
  return sorted.length % 2 === 1 ? median(sorted) : (sorted[half - 1] + sorted[half]) / 2
}

function isOutlier(offset: OnsetOffset, before?: OnsetOffset, after?: OnsetOffset): boolean {
  const differs = (other?: OnsetOffset): boolean =>
    other === undefined || Math.abs(other.offsetS - offset.offsetS) > OUTLIER_SECONDS
  return (before !== undefined || after !== undefined) && differs(before) && differs(after)
}

interface LineFeatures {
  /** WIDTH values per frame. */
  readonly values: Float64Array
  readonly count: number
  /** Frames at which something begins. */
  readonly onsets: readonly number[]
}

function featuresOf({ samples, sampleRateHz }: Segment, topHz: number): LineFeatures {
  const spectrum = createFrameSpectrum(pointsAtRate(POINTS_AT_48K, sampleRateHz), sampleRateHz)
  const { points } = spectrum
  const edges = melEdges(topHz)
  const count = Math.max(1, Math.floor(samples.length / (HOP_SECONDS * sampleRateHz)))
  const mel = new Float64Array(count * MEL_BANDS)
  const powers = new Float64Array(count)
  const frame = new Float64Array(points)
  for (let t = 0; t < count; t++) {
    const from = Math.round(t * HOP_SECONDS * sampleRateHz) - (points >> 1)
    for (let n = 0; n < points; n++) frame[n] = samples[from + n] ?? 0
    spectrum.measure(frame)
    for (let b = 0; b < MEL_BANDS; b++) {
      const power = spectrum.bandPower(edges[b], edges[b + 2])
      mel[t * MEL_BANDS + b] = power
      powers[t] += power
    }
  }
  const loud = Float64Array.from(powers).sort()[Math.floor(STRONG_QUANTILE * (count - 1))]
  const least = loud * 10 ** (-ACTIVE_WITHIN_DB / 10)
  const cepstra = cepstraOf(mel, MEL_BANDS, (t) => powers[t] >= least)
  const { rises, strengths } = risesOf(mel, count, least / MEL_BANDS)
  const values = new Float64Array(count * WIDTH)
  for (let t = 0; t < count; t++) {
    for (let c = 0; c < CEPSTRA; c++) values[t * WIDTH + c] = cepstra[t * CEPSTRA + c]
    for (let b = 0; b < FLUX_BANDS; b++) {
      values[t * WIDTH + CEPSTRA + b] = FLUX_WEIGHT * rises[t * FLUX_BANDS + b]
    }
  }
  return { values, count, onsets: onsetsOf(strengths) }
}

/** Rises over 30 ms around each frame in bands of two, of unit mean square, and the sum of the lower ones. */
function risesOf(
  mel: Float64Array,
  count: number,
  floor: number,
): { rises: Float64Array; strengths: Float64Array } {
  const rises = new Float64Array(count * FLUX_BANDS)
  const strengths = new Float64Array(count)
  const half = RISE_FRAMES >> 1
  const level = (t: number, band: number): number => {
    const at = Math.max(0, Math.min(count - 1, t)) * MEL_BANDS + 2 * band
    return Math.log(mel[at] + mel[at + 1] + floor)
  }
  let squares = 0
  for (let t = 0; t < count; t++) {
    for (let band = 0; band < FLUX_BANDS; band++) {
      const rise = Math.max(0, level(t + half, band) - level(t - half, band))
      rises[t * FLUX_BANDS + band] = rise
      if (band < ONSET_BANDS) strengths[t] += rise
      squares += rise * rise
    }
  }
  const scale = squares > 0 ? 1 / Math.sqrt(squares / rises.length) : 0
  for (let i = 0; i < rises.length; i++) rises[i] *= scale
  return { rises, strengths }
}

function onsetsOf(strengths: Float64Array): number[] {
  const strong = Float64Array.from(strengths).sort()[Math.floor(STRONG_QUANTILE * (strengths.length - 1))]
  const onsets: number[] = []
  for (let t = 1; t < strengths.length - 1; t++) {
    if (strengths[t] < ONSET_SHARE * strong || strengths[t] <= 0) continue
    let isGreatest = true
    for (
      let i = Math.max(0, t - ONSET_APART_FRAMES);
      i <= Math.min(strengths.length - 1, t + ONSET_APART_FRAMES);
      i++
    ) {
      if (strengths[i] > strengths[t] || (strengths[i] === strengths[t] && i < t)) isGreatest = false
    }
    if (isGreatest) onsets.push(t)
  }
  return onsets
}

/** For each frame of the line, the frame of the other; NaN where the band leaves it. */
function bandedPath(line: LineFeatures, other: LineFeatures, shift: number): Float64Array {
  const n = line.count
  const width = 2 * REACH_FRAMES + 1
  const costs = new Float64Array(n * width).fill(Number.POSITIVE_INFINITY)
  const steps = new Float64Array(n * width).fill(Number.POSITIVE_INFINITY)
  const moves = new Uint8Array(n * width)
  // Cell k of row i is frame i + shift + k - REACH_FRAMES of the other.
  for (let i = 0; i < n; i++) {
    for (let k = 0; k < width; k++) {
      const j = i + shift + k - REACH_FRAMES
      if (j < 0 || j >= other.count) continue
      const cell = i * width + k
      const step = distance(line.values, i * WIDTH, other.values, j * WIDTH)
      steps[cell] = step
      let best = i === 0 ? 0 : Number.POSITIVE_INFINITY
      let move = 0
      if (i > 0 && costs[cell - width] < best) {
        best = costs[cell - width]
        move = 1
      }
      if (i > 0 && k > 0 && costs[cell - width - 1] + OFF_DIAGONAL < best) {
        best = costs[cell - width - 1] + OFF_DIAGONAL
        move = 2
      }
      if (i > 1 && k + 1 < width) {
        const skipped = costs[cell - 2 * width + 1] + steps[cell - width + 1] + OFF_DIAGONAL
        if (skipped < best) {
          best = skipped
          move = 3
        }
      }
      costs[cell] = best + step
      moves[cell] = move
    }
  }
  const path = new Float64Array(n).fill(Number.NaN)
  let k = -1
  for (let c = 0; c < width; c++) {
    const cost = costs[(n - 1) * width + c]
    if (Number.isFinite(cost) && (k < 0 || cost < costs[(n - 1) * width + k])) k = c
  }
  for (let i = n - 1; i >= 0 && k >= 0; ) {
    const move = moves[i * width + k]
    path[i] = i + shift + k - REACH_FRAMES
    if (move === 0) break
    if (move === 3) {
      path[i - 1] = path[i] - 0.5
      i -= 2
      k += 1
    } else {
      i -= 1
      if (move === 2) k -= 1
    }
  }
  return path
}

function distance(a: Float64Array, at: number, b: Float64Array, bt: number): number {
  let sum = 0
  for (let c = 0; c < WIDTH; c++) {
    const d = a[at + c] - b[bt + c]
    sum += d * d
  }
  return Math.sqrt(sum / CEPSTRA)
}
