// Flat tops: runs of samples at the highest level that one polarity of a channel reaches
// within about 150 ms, entered with a steep step. The search uses that level and not full
// scale, because clipping often happens before the converter or is scaled afterwards.
// Frames of 6000 to 8000 samples: Aleinik, Matveev and Sholokhov (2014, abstract).
// Tops that something has bent since are found by their crests (clipped-crests.ts).

import { GrowingDoubles } from '../maths/growing-doubles.ts'
import { mergedSpans, type Span } from '../maths/span.ts'
import { copyIn, createWorkRows, kernels } from '../wasm/kernels.ts'
import { ClippedCrests, rampsAlike } from './clipped-crests.ts'
import { type Survey, surveySamples } from './survey.ts'

/** Shortest run that counts. */
export const CLIPPED_RUN_SAMPLES = 3
/** How far below the maximum a run's samples may lie, in steps of the source's quantiser. */
const TOLERANCE_STEPS = 1.5
/** Finer sources are judged like 16 bit: clipping ahead of the converter has the converter's noise on top. */
const FINEST_STEP = 2 ** -15
const TOLERANCE = TOLERANCE_STEPS * FINEST_STEP
/**
 * A run counts when one of the two steps into it was this many tolerances. A smooth
 * top of any frequency stays under 6: three samples within the tolerance bound its
 * curvature, and with that the step before.
 */
const KINK_TOLERANCES = 8
/** Peaks below this many tolerances (-39 dBFS) are not judged: there the tolerance is no longer tight. */
const JUDGED_TOLERANCES = 256
const FRAME_SAMPLES = 7000
/** Samples before a frame, for the steps and the rise into a top at its start; and behind it, for a top at its end. */
const LEAD_SAMPLES = 500
const TAIL_SAMPLES = 500
const HELD_SAMPLES = LEAD_SAMPLES + FRAME_SAMPLES + TAIL_SAMPLES
/** Runs closer than this are one place to a listener (common practice). */
const ONE_PLACE_SECONDS = 0.1
const MAX_PLACES = 1000

/** A run of samples at the highest level of one polarity. */
export interface ClippedRun {
  readonly fromFrame: number
  readonly toFrame: number
  /** The least of the levels within the run, with the sign of its polarity. */
  readonly level: number
}

/** The held samples in the kernels' memory. */
const searched = createWorkRows().row(HELD_SAMPLES)

/** Clipped runs of one channel, both polarities. */
export class ClippedRuns {
  readonly #above: PolarityRuns
  readonly #below: PolarityRuns
  readonly #crestsAbove: ClippedCrests
  readonly #crestsBelow: ClippedCrests
  readonly #held = new Float64Array(HELD_SAMPLES)
  readonly #survey: Survey = { lowest: 0, highest: 0, sum: 0 }
  #filled = LEAD_SAMPLES
  /** Frame of the take at `#held[LEAD_SAMPLES]`. */
  #frame = 0
  // The coarsest power of two of which every sample so far is a multiple.
  #quantiserStep = 1

  /** @param keepsRuns whether each run is kept for `runs`, and not the places alone */
  constructor(sampleRateHz: number, keepsRuns = false) {
    this.#above = new PolarityRuns(1, sampleRateHz, keepsRuns)
    this.#below = new PolarityRuns(-1, sampleRateHz, keepsRuns)
    this.#crestsAbove = new ClippedCrests(1, sampleRateHz)
    this.#crestsBelow = new ClippedCrests(-1, sampleRateHz)
  }

  /** @param samples finite values only */
  add(samples: Float64Array, frames: number): void {
    if (frames > 0 && this.#frame === 0 && this.#filled === LEAD_SAMPLES) {
      // No step leads into the first sample.
      this.#held.fill(samples[0], 0, LEAD_SAMPLES)
    }
    if (this.#quantiserStep > FINEST_STEP) this.#findStep(samples, frames)
    const held = this.#held
    for (let read = 0; read < frames; ) {
      const take = Math.min(frames - read, held.length - this.#filled)
      held.set(samples.subarray(read, read + take), this.#filled)
      this.#filled += take
      read += take
      if (this.#filled === held.length) this.#judge(FRAME_SAMPLES)
    }
  }

  /**
   * Number of runs so far, at levels that were reached twice or at the highest of all; or of the crests with
   * the shape of clipping, if there are more of them.
   */
  count(): number {
    this.#judge(this.#filled - LEAD_SAMPLES)
    return Math.max(this.#above.count() + this.#below.count(), this.#crests().length)
  }

  /** Places of the runs in order; runs close together are merged. */
  places(): Span[] {
    this.#judge(this.#filled - LEAD_SAMPLES)
    const places = [...this.#above.places(), ...this.#below.places(), ...this.#crests()]
    return mergedSpans(places, ONE_PLACE_SECONDS)
  }

  /** Every run in order of time. @throws Error unless they are kept */
  runs(): ClippedRun[] {
    this.#judge(this.#filled - LEAD_SAMPLES)
    return [...this.#above.runs(), ...this.#below.runs()].sort((a, b) => a.fromFrame - b.fromFrame)
  }

  #crests(): readonly Span[] {
    const flat = [...this.#crestsAbove.flatCrests(), ...this.#crestsBelow.flatCrests()]
    const ramps = rampsAlike([...this.#crestsAbove.ramps(), ...this.#crestsBelow.ramps()])
    return flat.length >= ramps.length ? flat : ramps
  }

  #findStep(samples: Float64Array, frames: number): void {
    let step = this.#quantiserStep
    for (let n = 0; n < frames && step > FINEST_STEP; n++) {
      while (step > FINEST_STEP && samples[n] % step !== 0) step /= 2
    }
    this.#quantiserStep = step
  }

  /** Examines the next `samples` that are held, and drops them. */
  #judge(samples: number): void {
    if (samples === 0) return
    const held = this.#held
    const end = LEAD_SAMPLES + samples
    surveySamples(held, LEAD_SAMPLES, end, this.#survey)
    const { lowest, highest } = this.#survey
    const tolerance = TOLERANCE_STEPS * this.#quantiserStep
    copyIn(held, searched, this.#filled)
    this.#above.judge(held, end, this.#filled, highest, tolerance, this.#frame)
    this.#below.judge(held, end, this.#filled, -lowest, tolerance, this.#frame)
    const least = JUDGED_TOLERANCES * tolerance
    if (highest >= least)
      this.#crestsAbove.judge(searched, held, LEAD_SAMPLES, end, this.#filled, highest, this.#frame)
    if (-lowest >= least)
      this.#crestsBelow.judge(searched, held, LEAD_SAMPLES, end, this.#filled, -lowest, this.#frame)
    held.copyWithin(0, end - LEAD_SAMPLES, this.#filled)
    this.#filled -= samples
    this.#frame += samples
  }
}

/** One polarity; samples are multiplied by its sign, so that its peaks are positive. */
class PolarityRuns {
  readonly #sign: number
  readonly #sampleRateHz: number
  readonly #places: Span[] = []
  #count = 0
  #highest = 0
  // Frames with a single run, by level: clipping only if that level turns out to be the highest.
  #single: { level: number; place: Span }[] = []
  #lastLevel = Number.NaN
  /** First frame, end and level of each run; null where they are not kept. */
  readonly #kept: GrowingDoubles | null

  constructor(sign: 1 | -1, sampleRateHz: number, keepsRuns: boolean) {
    this.#sign = sign
    this.#sampleRateHz = sampleRateHz
    this.#kept = keepsRuns ? new GrowingDoubles() : null
  }

  judge(
    held: Float64Array,
    end: number,
    filled: number,
    highest: number,
    tolerance: number,
    frame: number,
  ): void {
    if (highest > this.#highest) this.#highest = highest
    if (highest < JUDGED_TOLERANCES * tolerance) return
    const floor = highest - TOLERANCE
    const found: Span[] = []
    for (let n = LEAD_SAMPLES; ; n++) {
      n = kernels.indexReaching(searched, n, end, this.#sign, floor)
      if (n >= end) break
      const start = n
      while (n < filled && this.#sign * held[n] >= floor) n++
      if (n - start < CLIPPED_RUN_SAMPLES || this.#sign * held[start - 1] >= floor) continue
      const stepIn = Math.max(
        Math.abs(held[start] - held[start - 1]),
        Math.abs(held[start - 1] - held[start - 2]),
      )
      if (stepIn < KINK_TOLERANCES * tolerance) continue
      const at = frame + start - LEAD_SAMPLES
      found.push({ fromS: at / this.#sampleRateHz, toS: (at + n - start) / this.#sampleRateHz })
    }
    this.#keep(found, highest)
  }

  #keep(found: readonly Span[], level: number): void {
    if (found.length === 0) return
    const isKnown = Math.abs(level - this.#lastLevel) <= TOLERANCE
    if (found.length === 1 && !isKnown) {
      if (this.#single.length < MAX_PLACES) this.#single.push({ level, place: found[0] })
    } else {
      this.#confirm(found, level)
      // An earlier single run at this level is one of them.
      const before = this.#single.findIndex((one) => Math.abs(one.level - level) <= TOLERANCE)
      if (before >= 0) this.#confirm([this.#single.splice(before, 1)[0].place], level)
    }
    this.#lastLevel = level
  }

  #confirm(runs: readonly Span[], level: number): void {
    this.#count += runs.length
    for (const run of runs) {
      this.#kept?.push(Math.round(run.fromS * this.#sampleRateHz))
      this.#kept?.push(Math.round(run.toS * this.#sampleRateHz))
      this.#kept?.push(this.#sign * (level - TOLERANCE))
      const last = this.#places.at(-1)
      if (last !== undefined && run.fromS >= last.fromS && run.fromS - last.toS < ONE_PLACE_SECONDS) {
        this.#places[this.#places.length - 1] = { fromS: last.fromS, toS: run.toS }
      } else if (this.#places.length < MAX_PLACES) this.#places.push(run)
    }
  }

  #atTheTop(): Span[] {
    return this.#single.filter(({ level }) => level >= this.#highest - TOLERANCE).map(({ place }) => place)
  }

  runs(): ClippedRun[] {
    if (this.#kept === null) throw new Error('the runs were not kept')
    const kept = this.#kept.values()
    const runs: ClippedRun[] = []
    for (let i = 0; i < kept.length; i += 3) {
      runs.push({ fromFrame: kept[i], toFrame: kept[i + 1], level: kept[i + 2] })
    }
    for (const { fromS, toS } of this.#atTheTop()) {
      const level = this.#sign * (this.#highest - TOLERANCE)
      const [fromFrame, toFrame] = [fromS, toS].map((seconds) => Math.round(seconds * this.#sampleRateHz))
      runs.push({ fromFrame, toFrame, level })
    }
    return runs
  }

  count(): number {
    return this.#count + this.#atTheTop().length
  }

  places(): Span[] {
    return [...this.#places, ...this.#atTheTop()]
  }
}
