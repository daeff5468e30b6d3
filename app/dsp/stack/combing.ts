// Layers that are copies of one another: which pairs, at which delay, and the comb that their sum has. Two layers of
// one take have the delay of their places; others are compared by the phase of their spectra, which only copies share
// (dsp/check/same-performance.ts).
// A copy that comes tau later has its notches at (2 m + 1) / (2 tau), an inverted one at m / tau.

import { exactLag, SAME_PERFORMANCE_RATIO } from '../check/same-performance.ts'
import { dbFromGain } from '../maths/decibels.ts'
import { median } from '../maths/median.ts'
import type { Span } from '../maths/span.ts'
import { type CoherenceOf, createCoherence } from './coherence.ts'
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
  /** Where both sound alike at this delay, by clips. */
  readonly places: readonly Span[]
  /** Delay of the first layer in each clip in which they are copies, in seconds; below 0 where it comes earlier. */
  readonly delays: readonly { readonly lagSeconds: number; readonly seconds: number }[]
}

/** Combs with less ripple or outside of these delays are not heard as such (our choice). */
const LEAST_RIPPLE_DB = 3
const LEAST_LAG_SECONDS = 0.0001
const MOST_LAG_SECONDS = 0.015
const MOST_DEPTH_DB = 60
const MOST_NOTCHES = 8
const TOP_HZ = 16_000
/** Pairs with less are no copies; see coherence.ts. */
const LEAST_COHERENCE = 0.25
const CERTAIN_COHERENCE = 0.6
const CORRELATED_FRAMES = 16_384
/**
 * At their delay, steps from sample to sample correlate more than this in copies: by 0.62 and more behind bells of
 * 8 dB, low-cut, opto, drive or de-ess, by up to 0.13 in vowels of one pitch and in hum that two takes share
 * (measured on nine recorded voices). Levels instead of steps would let one pitch alone decide.
 */
const LEAST_LIKENESS = 0.4
/** A clip with less than -60 dBFS is silence. */
const SILENT_POWER = 1e-6

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
  const copies = new Map<string, { k: number; l: number; lags: ClipLag[] }>()
  for (const [done, clip] of clips.entries()) {
    const sounding = layers.flatMap((_, k) => (isHeard(clip.layers[k]) ? [k] : []))
    const coherence = createCoherence(clip.layers, sampleRateHz)
    for (const [i, k] of sounding.entries()) {
      onPair((done + i / sounding.length) / clips.length)
      for (const l of sounding.slice(i + 1)) {
        const pair = copies.get(`${k} ${l}`) ?? { k, l, lags: [] }
        const lag = sureLag(pair.lags, coherence(k, l)) ?? lagOf(clip, k, l, known, coherence, sampleRateHz)
        if (lag === null) continue
        pair.lags.push({ ...lag, clip })
        copies.set(`${k} ${l}`, pair)
      }
    }
  }
  return [...copies.values()]
    .flatMap(({ k, l, lags }) => {
      const lagFrames = median(lags.map((one) => one.lagFrames))
      const same = lags.filter((one) => one.lagFrames === lagFrames)
      const { isInverted } = same[0]
      const copy = { lagFrames, isInverted, clips: same.map(({ clip }) => clip), lags }
      return describe(copy, k, l, layers, sampleRateHz) ?? []
    })
    .sort((a, b) => weightOf(b) - weightOf(a))
}

/** A comb through the song comes before a deeper one in one phrase (our choice). */
const weightOf = ({ depthDb, monoDepthDb, places }: FoundCopy): number =>
  (depthDb + monoDepthDb) * places.length

interface Lag {
  /** How much later the second layer is. */
  readonly lagFrames: number
  readonly isInverted: boolean
}
type ClipLag = Lag & { readonly clip: LayerClip }

/** The delay of earlier clips where two agree and this one is as much alike: it need not be searched again. */
function sureLag(lags: readonly ClipLag[], alike: number): Lag | null {
  const [first, second] = lags
  if (second === undefined || first.lagFrames !== second.lagFrames || alike < CERTAIN_COHERENCE) return null
  return { lagFrames: first.lagFrames, isInverted: first.isInverted }
}

/** The delay of two layers in one clip; null where they are no copies. */
function lagOf(
  clip: LayerClip,
  k: number,
  l: number,
  known: readonly KnownCopy[],
  coherence: CoherenceOf,
  sampleRateHz: number,
): Lag | null {
  const place = known.find(({ layer, other }) => (layer === k && other === l) || (layer === l && other === k))
  if (place !== undefined)
    return { lagFrames: place.layer === l ? place.lagFrames : -place.lagFrames, isInverted: false }
  const alike = coherence(k, l)
  if (alike < LEAST_COHERENCE) return null
  const [first, second] = [clip.layers[k]!, clip.layers[l]!]
  const exact = exactLag(Float64Array.from(first), Float64Array.from(second))
  if (exact.ratio > SAME_PERFORMANCE_RATIO && likeness(first, second, exact.lagFrames) > LEAST_LIKENESS)
    return exact
  // The search by phase sees no signal where a sound has the spectrum of noise.
  const lag = alike < CERTAIN_COHERENCE ? null : correlatedLag(first, second, sampleRateHz)
  return lag !== null && likeness(first, second, lag.lagFrames) > LEAST_LIKENESS ? lag : null
}

/** Normalised correlation of the steps from sample to sample at a delay of the second clip, 0 to 1. */
function likeness(first: Float32Array, second: Float32Array, lagFrames: number): number {
  let [both, one, other] = [0, 0, 0]
  const end = Math.min(first.length, second.length - lagFrames)
  for (let n = Math.max(1, 1 - lagFrames); n < end; n++) {
    const x = first[n] - first[n - 1]
    const y = second[n + lagFrames] - second[n + lagFrames - 1]
    both += x * y
    one += x * x
    other += y * y
  }
  return one > 0 && other > 0 ? Math.abs(both) / Math.sqrt(one * other) : 0
}

/** The delay at which the middles of two clips correlate most, up to what combs. */
function correlatedLag(first: Float32Array, second: Float32Array, sampleRateHz: number): Lag | null {
  const from = Math.max(0, (first.length - CORRELATED_FRAMES) >> 1)
  const one = first.subarray(from, from + CORRELATED_FRAMES)
  const other = second.subarray(from, from + CORRELATED_FRAMES)
  const reach = Math.ceil(MOST_LAG_SECONDS * sampleRateHz)
  const norm = Math.sqrt(powerOf(one) * powerOf(other)) * one.length
  let lagFrames = 0
  let greatest = 0
  for (let lag = -reach; lag <= reach; lag++) {
    let sum = 0
    for (let n = Math.max(0, -lag); n < Math.min(one.length, one.length - lag); n++)
      sum += one[n] * other[n + lag]
    if (Math.abs(sum) <= Math.abs(greatest)) continue
    greatest = sum
    lagFrames = lag
  }
  return Math.abs(greatest) > norm / 2 ? { lagFrames, isInverted: greatest < 0 } : null
}

interface Copy extends Lag {
  /** Those with this delay. */
  readonly clips: readonly LayerClip[]
  readonly lags: readonly ClipLag[]
}

function describe(
  { lagFrames, isInverted, clips, lags }: Copy,
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
    places: clips.map(({ span: { from, to } }) => ({ fromS: from / sampleRateHz, toS: to / sampleRateHz })),
    delays: lags.map(({ lagFrames: lag, clip: { span } }) => ({
      lagSeconds: (later === k ? -lag : lag) / sampleRateHz,
      seconds: (span.to - span.from) / sampleRateHz,
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
  for (let n = 0; n < clip.length; n++) sum += clip[n] * clip[n]
  return sum / clip.length
}

const isHeard = (clip: Float32Array | null): boolean => clip !== null && powerOf(clip) > SILENT_POWER
