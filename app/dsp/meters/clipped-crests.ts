// Clipping that something followed: noise, AC coupling, a low-cut or a rate conversion leave no exact flat
// top. What remains is the shape of the crests, and how many of them end at one level: a histogram of
// amplitudes beside the shape in time (Laguna and Lerch, AES 141, 2016, abstract). Behind a low-cut the
// tops fall from their first corner on at a rate that the low-cut alone decides, the same for all of them.

import type { Span } from '../maths/span.ts'
import { kernels } from '../wasm/kernels.ts'
import type { Row } from '../wasm/row.ts'

/** A crest of one polarity with its highest sample. */
interface Crest extends Span {
  readonly level: number
}

/** A crest that falls in a straight line from its corner on. */
interface Ramp extends Crest {
  /** Fall per second as a share of the level. */
  readonly fallPerSecond: number
}

/** Crests that reach this share of the highest so far are examined. */
const EXAMINED_SHARE = 0.5
const FLAT_SHARE = 0.97
const WIDTH_SHARE = 0.7
/**
 * Least share of a crest's width at 0.7 of its height that it has at 0.97. A sine has 0.31, one that is cut
 * by 1 dB 0.59, one that is cut by 6 dB 0.88 (computed).
 */
const FLATNESS = 0.5
const MIN_WIDTH = 5
/** Levels per decibel and lowest level of the histogram. */
const BINS_PER_DB = 10
const LOWEST_DBFS = -60
const BINS = 80 * BINS_PER_DB
/** Flat crests at one level lie within 0.4 dB (measured behind noise and rate conversion). */
const LEVEL_BINS = 4
/** Fewest flat crests at one level, and least share of all crests there (clean voices: up to 0.30). */
const MIN_FLAT = 8
const MIN_FLAT_SHARE = 1 / 3
/** Crests above the level of the clipping, per crest at it: overshoots of what followed. */
const MAX_ABOVE = 0.5
/** Clean voices have at most two such ramps, none like another. */
const MIN_RAMPS = 5
const MIN_ALIKE_SHARE = 0.6
const ALIKE = 0.2
const MIN_RAMP_STEPS = 6
/** A ramp ends where its fall changes by a quarter or by this share of the level per step. */
const RAMP_CHANGE = 0.25
const RAMP_SCATTER = 0.0015
/** The corner of a ramp: the rise into it is this many times its fall, and this share of the level per step. */
const CORNER = 2
const MIN_RISE = 0.008
/** Steps over which a slope is read. */
const SLOPE_STEPS = 3
/** Slopes are read over about 1/48000 s, so that their limits hold at every rate. */
const STEP_RATE_HZ = 48_000
const MAX_KEPT = 1000

/** The crests of one polarity; samples are multiplied by its sign. */
export class ClippedCrests {
  readonly #sign: number
  readonly #sampleRateHz: number
  readonly #step: number
  readonly #all = new Uint32Array(BINS)
  readonly #flat = new Uint32Array(BINS)
  #flats: Crest[] = []
  #ramps: Ramp[] = []
  #highest = 0

  constructor(sign: 1 | -1, sampleRateHz: number) {
    this.#sign = sign
    this.#sampleRateHz = sampleRateHz
    this.#step = Math.max(1, Math.round(sampleRateHz / STEP_RATE_HZ))
  }

  /**
   * Examines the crests that begin in a frame.
   * @param searched `held` in the kernels' memory
   * @param from, end the frame within `held`, which has samples before it and, up to `filled`, behind it
   * @param highest of the frame @param frame of the take at `from`
   */
  judge(
    searched: Row,
    held: Float64Array,
    from: number,
    end: number,
    filled: number,
    highest: number,
    frame: number,
  ): void {
    if (highest > this.#highest) this.#highest = highest
    const floor = EXAMINED_SHARE * this.#highest
    if (highest < floor || floor === 0) return
    const sign = this.#sign
    let n = from
    while (n < end && sign * held[n - 1] >= floor) n++
    for (; ; n++) {
      n = kernels.indexReaching(searched, n, end, sign, floor)
      if (n >= end) return
      let top = n
      while (n < filled && sign * held[n] > 0) {
        if (sign * held[n] > sign * held[top]) top = n
        n++
      }
      this.#take(held, top, filled, frame - from)
    }
  }

  /** Flat crests at the level at which most of them end; none where that is no sign of clipping. */
  flatCrests(): readonly Crest[] {
    let best = { score: 0, lowest: 0 }
    let above = 0
    for (let high = BINS - 1; high >= LEVEL_BINS - 1; above += this.#all[high--]) {
      if (this.#flat[high] === 0) continue
      let all = 0
      let flat = 0
      for (let bin = high - LEVEL_BINS + 1; bin <= high; bin++) {
        all += this.#all[bin]
        flat += this.#flat[bin]
      }
      if (flat < MIN_FLAT || flat < MIN_FLAT_SHARE * all || above > MAX_ABOVE * all) continue
      const score = (flat * flat) / (all + above)
      if (score > best.score) best = { score, lowest: high - LEVEL_BINS + 1 }
    }
    if (best.score === 0) return []
    return this.#flats.filter(({ level }) => {
      const bin = binOf(level)
      return bin >= best.lowest && bin < best.lowest + LEVEL_BINS
    })
  }

  /** Straight falls from a corner, within 6 dB of the highest crest. */
  ramps(): readonly Ramp[] {
    return this.#ramps.filter(({ level }) => level >= EXAMINED_SHARE * this.#highest)
  }

  #take(held: Float64Array, top: number, filled: number, offset: number): void {
    const level = this.#sign * held[top]
    const bin = binOf(level)
    if (bin < 0 || bin >= BINS) return
    this.#all[bin]++
    const spanOf = (first: number, last: number): Span => ({
      fromS: (first + offset) / this.#sampleRateHz,
      toS: (last + 1 + offset) / this.#sampleRateHz,
    })
    const wide = this.#reachOf(held, top, filled, WIDTH_SHARE * level)
    // A crest that extends beyond what is held cannot be judged.
    if (wide.first > 0 && wide.last < filled - 1 && wide.last - wide.first + 1 >= MIN_WIDTH) {
      const { first, last } = this.#reachOf(held, top, filled, FLAT_SHARE * level)
      if (last - first + 1 > FLATNESS * (wide.last - wide.first + 1)) {
        this.#flat[bin]++
        this.#flats = this.#kept(this.#flats)
        if (this.#flats.length < MAX_KEPT) this.#flats.push({ level, ...spanOf(first, last) })
      }
    }
    const ramp = this.#rampFrom(held, top, filled)
    if (ramp === null) return
    this.#ramps = this.#kept(this.#ramps)
    const fallPerSecond = (ramp.fall / level / this.#step) * this.#sampleRateHz
    if (this.#ramps.length < MAX_KEPT) this.#ramps.push({ level, fallPerSecond, ...spanOf(top, ramp.last) })
  }

  /** A full list loses what later crests have left far below. */
  #kept<C extends Crest>(crests: C[]): C[] {
    if (crests.length < MAX_KEPT) return crests
    return crests.filter(({ level }) => level >= EXAMINED_SHARE * this.#highest)
  }

  #reachOf(held: Float64Array, top: number, filled: number, least: number): { first: number; last: number } {
    const sign = this.#sign
    let first = top
    let last = top
    while (first > 0 && sign * held[first - 1] >= least) first--
    while (last < filled - 1 && sign * held[last + 1] >= least) last++
    return { first, last }
  }

  /** The straight fall behind a corner, per step; null where there is none. */
  #rampFrom(held: Float64Array, top: number, filled: number): { fall: number; last: number } | null {
    const sign = this.#sign
    const step = this.#step
    const reach = SLOPE_STEPS * step
    const start = top + step
    if (top < reach + step || start + reach >= filled) return null
    const level = sign * held[top]
    const fallFrom = (n: number): number => (sign * (held[n] - held[n + reach])) / SLOPE_STEPS
    const fall = fallFrom(start)
    const rise = -fallFrom(top - step - reach)
    if (fall <= 0 || rise < CORNER * fall || rise < MIN_RISE * level) return null
    const scatter = Math.max(RAMP_SCATTER * level, RAMP_CHANGE * fall)
    let last = start
    while (last + step < filled && Math.abs(sign * (held[last] - held[last + step]) - fall) < scatter)
      last += step
    if (last - top < MIN_RAMP_STEPS * step || last + reach >= filled) return null
    return fallFrom(last) > CORNER * fall ? { fall, last } : null
  }
}

/** The ramps whose falls are alike, of both polarities; none where that is no sign of a low-cut after clipping. */
export function rampsAlike(ramps: readonly Ramp[]): readonly Crest[] {
  if (ramps.length < MIN_RAMPS) return []
  const falls = Float64Array.from(ramps, ({ fallPerSecond }) => fallPerSecond).sort()
  const usual = falls[falls.length >> 1]
  const alike = ramps.filter(({ fallPerSecond }) => Math.abs(fallPerSecond / usual - 1) < ALIKE)
  return alike.length >= MIN_RAMPS && alike.length >= MIN_ALIKE_SHARE * ramps.length ? alike : []
}

function binOf(level: number): number {
  return Math.floor((20 * Math.log10(level) - LOWEST_DBFS) * BINS_PER_DB)
}
