// Layers that are copies of one another: which pairs, at which delay, and the comb that their sum has. Two layers of
// one take have the delay of their places; others are compared by the phase of their spectra, which only copies share.
// A copy that comes tau later has its notches at (2 m + 1) / (2 tau), an inverted one at m / tau.

import { exactLag, SAME_PERFORMANCE_RATIO } from '../check/same-performance.ts'
import { dbFromGain } from '../maths/decibels.ts'
import { median } from '../maths/median.ts'
import type { Span } from '../maths/span.ts'
import type { LayerClip } from './layer-clips.ts'
import type { StackLayer } from './stack-layers.ts'

/** Two layers that have the same sound. `layer` comes `lagFrames` after `other`. */
export interface KnownCopy {
  readonly layer: number
  readonly other: number
  readonly lagFrames: number
}

/** Copies among the layers, with what their sum does. */
export interface FoundCopy {
  /** The later one, then the earlier. */
  readonly layers: readonly [number, number]
  readonly lagSeconds: number
  readonly isInverted: boolean
  /** Level of the second layer over the first, both as they are panned. */
  readonly levelDb: number
  /** Peaks over notches of the comb: where it is heard in stereo, and in mono. Limited to 60 dB. */
  readonly depthDb: number
  readonly monoDepthDb: number
  /** The first notches up to 16 kHz, at most eight; empty for copies without delay. */
  readonly notchesHz: readonly number[]
  /** Where both sound alike, by clips. */
  readonly places: readonly Span[]
}

/** Combs with less ripple or outside of these delays are not heard as such (our choice). */
const LEAST_RIPPLE_DB = 3
const LEAST_LAG_SECONDS = 0.0001
const MOST_LAG_SECONDS = 0.015
const MOST_DEPTH_DB = 60
const MOST_NOTCHES = 8
const TOP_HZ = 16_000
/** Transforms of 1.4 s cost some 15 ms each. */
const MOST_COMPARISONS = 400
/** A clip with less than -60 dBFS is silence. */
const SILENT_POWER = 1e-6
const PLACE_SECONDS = 1.4

/**
 * @param known pairs whose delay follows from their places
 * @param onPair called before each comparison; throws to stop
 */
export function findCopies(
  clips: readonly LayerClip[],
  layers: readonly StackLayer[],
  known: readonly KnownCopy[],
  sampleRateHz: number,
  onPair: (fraction: number) => void,
): FoundCopy[] {
  const sounding = layers.flatMap((_, k) => (clips.some((clip) => isHeard(clip.layers[k])) ? [k] : []))
  const pairs = sounding.flatMap((k, i) => sounding.slice(i + 1).map((l) => [k, l] as const))
  const clipsEach = Math.max(1, Math.floor(MOST_COMPARISONS / Math.max(1, pairs.length)))
  const found: FoundCopy[] = []
  for (const [done, [k, l]] of pairs.entries()) {
    onPair(done / pairs.length)
    const both = clips.filter((clip) => isHeard(clip.layers[k]) && isHeard(clip.layers[l]))
    if (both.length === 0) continue
    const place = known.find(
      ({ layer, other }) => (layer === k && other === l) || (layer === l && other === k),
    )
    const copy =
      place === undefined
        ? compared(both.slice(0, clipsEach), k, l)
        : {
            lagFrames: place.layer === l ? place.lagFrames : -place.lagFrames,
            isInverted: false,
            clips: both,
          }
    if (copy === null) continue
    const one = describe(copy, k, l, layers, sampleRateHz)
    if (one !== null) found.push(one)
  }
  return found.sort((a, b) => b.depthDb + b.monoDepthDb - a.depthDb - a.monoDepthDb)
}

interface Copy {
  /** How much later the second layer is. */
  readonly lagFrames: number
  readonly isInverted: boolean
  readonly clips: readonly LayerClip[]
}

function compared(clips: readonly LayerClip[], k: number, l: number): Copy | null {
  const alike = clips.flatMap((clip) => {
    const lag = exactLag(Float64Array.from(clip.layers[k]!), Float64Array.from(clip.layers[l]!))
    return lag.ratio > SAME_PERFORMANCE_RATIO ? [{ ...lag, clip }] : []
  })
  if (alike.length === 0) return null
  const lagFrames = median(alike.map((one) => one.lagFrames))
  const same = alike.filter((one) => one.lagFrames === lagFrames)
  return { lagFrames, isInverted: same[0].isInverted, clips: same.map(({ clip }) => clip) }
}

function describe(
  { lagFrames, isInverted, clips }: Copy,
  k: number,
  l: number,
  layers: readonly StackLayer[],
  sampleRateHz: number,
): FoundCopy | null {
  const lagSeconds = Math.abs(lagFrames) / sampleRateHz
  const [later, earlier] = lagFrames < 0 ? [k, l] : [l, k]
  const rmsOf = (layer: number): number =>
    Math.sqrt(median(clips.map((clip) => powerOf(clip.layers[layer]!))))
  const gainsOf = (layer: number): { left: number; right: number; mono: number } => {
    const { channels } = layers[layer]
    const left = rmsOf(layer) * Math.max(...channels.map((one) => one.left))
    const right = rmsOf(layer) * Math.max(...channels.map((one) => one.right))
    return { left, right, mono: (left + right) / 2 }
  }
  const first = gainsOf(earlier)
  const second = gainsOf(later)
  const loudest = Math.max(first.left + second.left, first.right + second.right)
  // A side that carries little of both is not where the comb is heard.
  const depthOn = (side: 'left' | 'right'): number =>
    first[side] + second[side] < 0.25 * loudest ? 0 : depthDb(first[side], second[side])
  const depth = Math.max(depthOn('left'), depthOn('right'))
  const monoDepth = depthDb(first.mono, second.mono)
  const isComb = lagSeconds >= LEAST_LAG_SECONDS && lagSeconds <= MOST_LAG_SECONDS
  const isDoubled = lagSeconds < LEAST_LAG_SECONDS
  if (!(isComb || isDoubled) || Math.max(depth, monoDepth) < LEAST_RIPPLE_DB) return null
  return {
    layers: [later, earlier],
    lagSeconds,
    isInverted,
    levelDb: dbFromGain(second.mono / first.mono),
    depthDb: depth,
    monoDepthDb: monoDepth,
    notchesHz: isDoubled ? [] : notches(lagSeconds, isInverted),
    places: clips.map(({ from }) => ({
      fromS: from / sampleRateHz,
      toS: from / sampleRateHz + PLACE_SECONDS,
    })),
  }
}

/** Peak over notch of 1 + a exp(-j w tau). */
function depthDb(one: number, other: number): number {
  const a = Math.min(one, other) / Math.max(one, other)
  if (!(a > 0)) return 0
  return Math.min(MOST_DEPTH_DB, dbFromGain((1 + a) / Math.max(1e-6, 1 - a)))
}

function notches(lagSeconds: number, isInverted: boolean): number[] {
  const list: number[] = []
  for (let m = 0; list.length < MOST_NOTCHES; m++) {
    const hz = (isInverted ? m + 1 : m + 0.5) / lagSeconds
    if (hz > TOP_HZ) break
    list.push(hz)
  }
  return list
}

function powerOf(clip: Float32Array): number {
  let sum = 0
  for (const x of clip) sum += x * x
  return sum / clip.length
}

const isHeard = (clip: Float32Array | null): boolean => clip !== null && powerOf(clip) > SILENT_POWER
