// Sibilants of several layers that strike together: one s of the song, sung by all of them, is louder and longer than
// the lead's own. The lead keeps its s; those of the others may be held.

import { dbFromPower } from '../maths/decibels.ts'
import type { Span } from '../maths/span.ts'

/** One sibilant of a layer, as the voice analysis finds it, at the level at which it is in the stack. */
export interface LayerSibilant {
  readonly layer: number
  readonly fromS: number
  readonly toS: number
  /** RMS of 4 to 11 kHz. */
  readonly levelDbfs: number
}

/** One moment at which several layers hiss. */
export interface FoundSibilants extends Span {
  /** Those to hold, the loudest first. */
  readonly layers: readonly number[]
  /** The layer that keeps its sibilant: the lead if it has one, else the loudest. */
  readonly kept: number
  /** All of them over the one that is kept, as unrelated sounds add up. */
  readonly buildUpDb: number
  /** From the first to begin to the last. */
  readonly spreadMs: number
}

/** A stack that hisses this much more than the sibilant that is kept, or this much apart (our choice). */
const BUILD_UP_DB = 3
const SPREAD_MS = 30
/** Below the kept one by more, a sibilant adds less than half a dB. */
const MASKED_DB = 10
/** Begins further apart belong to different words. */
const TOGETHER_SECONDS = 0.12

/** @param sibilants of all layers, in any order */
export function findSibilants(
  sibilants: readonly LayerSibilant[],
  isLead: readonly boolean[],
): FoundSibilants[] {
  return clustersOf(sibilants).flatMap((cluster) => {
    const loudest = cluster.reduce((a, b) => (b.levelDbfs > a.levelDbfs ? b : a))
    const leads = cluster.filter(({ layer }) => isLead[layer])
    const kept = leads.length > 0 ? leads.reduce((a, b) => (b.levelDbfs > a.levelDbfs ? b : a)) : loudest
    const others = cluster.filter((one) => one !== kept && !isLead[one.layer])
    const heard = others.filter(({ levelDbfs }) => levelDbfs > kept.levelDbfs - MASKED_DB)
    if (heard.length === 0) return []
    const power = [kept, ...others].reduce((sum, { levelDbfs }) => sum + 10 ** (levelDbfs / 10), 0)
    const buildUpDb = dbFromPower(power) - kept.levelDbfs
    const starts = [kept, ...heard].map(({ fromS }) => fromS)
    const spreadMs = 1000 * (Math.max(...starts) - Math.min(...starts))
    if (buildUpDb < BUILD_UP_DB && spreadMs < SPREAD_MS) return []
    return [
      {
        layers: heard.sort((a, b) => b.levelDbfs - a.levelDbfs).map(({ layer }) => layer),
        kept: kept.layer,
        buildUpDb,
        spreadMs,
        fromS: Math.min(...cluster.map(({ fromS }) => fromS)),
        toS: Math.max(...cluster.map(({ toS }) => toS)),
      },
    ]
  })
}

/** Groups of overlapping sibilants, one of each layer; their distance is that from the first, so that chains end. */
function clustersOf(sibilants: readonly LayerSibilant[]): LayerSibilant[][] {
  const clusters: LayerSibilant[][] = []
  for (const one of sibilants.toSorted((a, b) => a.fromS - b.fromS)) {
    const cluster = clusters.at(-1)
    const isTogether =
      cluster !== undefined &&
      one.fromS - cluster[0].fromS < TOGETHER_SECONDS &&
      cluster.some(({ toS }) => one.fromS < toS) &&
      !cluster.some(({ layer }) => layer === one.layer)
    if (isTogether) cluster.push(one)
    else clusters.push([one])
  }
  return clusters.filter(({ length }) => length > 1)
}
