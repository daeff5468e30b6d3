// How far layers are from the lead in time, phrase by phrase: the delay at which the rises of their levels match best.
// It is an estimate, within some milliseconds: rises of 13 bands of 10 ms cells, interpolated at the peak.

import { median } from '../maths/median.ts'
import type { Span } from '../maths/span.ts'
import { CELL_SECONDS, type GlimpsedSpan, MEL_BANDS } from './glimpses.ts'

/** Offsets of one layer to the lead; positive if it comes later. */
export interface LayerTiming {
  readonly layer: number
  readonly offsetsMs: readonly number[]
  readonly medianMs: number
  /** 90th percentile of the distance from the median. */
  readonly spreadMs: number
  /** Phrases that were matched, in their order. */
  readonly places: readonly Span[]
}

const REACH_SECONDS = 0.15
/** Matches below this normalised correlation are left out. */
const LEAST_MATCH = 0.4
/**
 * A layer follows the lead if this share of the phrases in which it sounds match: 75 % and more of doubles (measured on
 * generated ones), at most 40 % of other words.
 */
const MATCHING_SHARE = 0.6
const BANDS = 13
const LEAST_FRAMES = 60
/** Fewest phrases that a layer is judged by. */
export const FEWEST_PHRASES = 3

/**
 * The delay of each layer in one span, in ms: NaN where the layer or the lead is silent, infinite where they do not match.
 * @param leads which layers lead
 */
export function offsetsIn({ cells, frames }: GlimpsedSpan, leads: readonly boolean[]): Float64Array {
  const offsets = new Float64Array(cells.length).fill(Number.NaN)
  if (frames < LEAST_FRAMES) return offsets
  const lead = new Float64Array(frames * MEL_BANDS)
  for (const [k, isLead] of leads.entries()) {
    if (isLead) for (let i = 0; i < lead.length; i++) lead[i] += cells[k][i]
  }
  const reference = risesOf(lead, frames)
  if (reference === null) return offsets
  for (let k = 0; k < cells.length; k++) {
    if (leads[k]) continue
    const rises = risesOf(cells[k], frames)
    if (rises !== null) offsets[k] = bestLag(reference, rises, frames)
  }
  return offsets
}

/** Half-wave rectified steps of the levels in 13 bands, each within 40 dB of its loudest cell; null for silence. */
function risesOf(cells: Float64Array, frames: number): Float64Array | null {
  const rises = new Float64Array(frames * BANDS)
  let energy = 0
  for (let band = 0; band < BANDS; band++) {
    const from = Math.floor((band * MEL_BANDS) / BANDS)
    const to = Math.floor(((band + 1) * MEL_BANDS) / BANDS)
    const levels = new Float64Array(frames)
    let loudest = 0
    for (let t = 0; t < frames; t++) {
      for (let b = from; b < to; b++) levels[t] += cells[t * MEL_BANDS + b]
      loudest = Math.max(loudest, levels[t])
    }
    if (!(loudest > 0)) continue
    let before = 0
    for (let t = 0; t < frames; t++) {
      const level = Math.log(levels[t] + 1e-4 * loudest)
      const rise = t === 0 ? 0 : Math.max(0, level - before)
      rises[t * BANDS + band] = rise
      energy += rise * rise
      before = level
    }
  }
  return energy > 0 ? rises : null
}

function bestLag(lead: Float64Array, layer: Float64Array, frames: number): number {
  const reach = Math.round(REACH_SECONDS / CELL_SECONDS)
  const matches = new Float64Array(2 * reach + 1)
  const norm = Math.sqrt(squares(lead) * squares(layer))
  for (let lag = -reach; lag <= reach; lag++) {
    let sum = 0
    for (let t = Math.max(0, -lag); t < Math.min(frames, frames - lag); t++) {
      for (let b = 0; b < BANDS; b++) sum += lead[t * BANDS + b] * layer[(t + lag) * BANDS + b]
    }
    matches[lag + reach] = sum / norm
  }
  let at = 0
  for (let i = 1; i < matches.length; i++) if (matches[i] > matches[at]) at = i
  if (matches[at] < LEAST_MATCH || at === 0 || at === matches.length - 1) return Number.POSITIVE_INFINITY
  const [a, b, c] = [matches[at - 1], matches[at], matches[at + 1]]
  const bend = a - 2 * b + c
  return 1000 * CELL_SECONDS * (at - reach + (bend < 0 ? (a - c) / (2 * bend) : 0))
}

const squares = (values: Float64Array): number => values.reduce((sum, x) => sum + x * x, 0)

/** @param offsets by span, as of offsetsIn @param spans their places */
export function timingsOf(
  offsets: readonly Float64Array[],
  spans: readonly Span[],
  layers: number,
): LayerTiming[] {
  return Array.from({ length: layers }, (_, layer) => layer).flatMap((layer) => {
    const sounding = offsets.flatMap((row, i) =>
      Number.isNaN(row[layer]) ? [] : [{ ms: row[layer], span: spans[i] }],
    )
    const matched = sounding.filter(({ ms }) => Number.isFinite(ms))
    if (matched.length < Math.max(FEWEST_PHRASES, MATCHING_SHARE * sounding.length)) return []
    const offsetsMs = matched.map(({ ms }) => ms)
    const medianMs = median(offsetsMs)
    const away = offsetsMs.map((ms) => Math.abs(ms - medianMs)).sort((a, b) => a - b)
    return [
      {
        layer,
        offsetsMs,
        medianMs,
        spreadMs: away[Math.floor(0.9 * (away.length - 1))],
        places: matched.map(({ span }) => span),
      },
    ]
  })
}
