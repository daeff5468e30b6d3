// Flat tops: runs of samples at the highest level one polarity of a channel ever
// reaches, entered at speed. Looked for at the take's own maximum and not at full
// scale, because clipping often happened before the converter or was scaled since.

import { FirstPlaces } from './first-places.ts'

/** Shortest run that counts. */
export const CLIPPED_RUN_SAMPLES = 3
/** How far below the maximum a run's samples may lie, in steps of the source's quantiser. */
const TOLERANCE_STEPS = 1.5
/** Finer sources are judged like 16 bit: what was clipped ahead of the converter has its noise on top. */
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

/** Clipped runs of one channel, both polarities. */
export class ClippedRuns {
  readonly #above: PolarityRuns
  readonly #below: PolarityRuns
  #previous = 0
  #beforePrevious = 0
  // The coarsest power of two of which every sample so far is a multiple.
  #quantiserStep = 1
  #frame = 0

  constructor(sampleRateHz: number) {
    this.#above = new PolarityRuns(sampleRateHz)
    this.#below = new PolarityRuns(sampleRateHz)
  }

  /**
   * @param samples finite values only
   * @param lowest, highest extremes of the block: one that reaches neither level is passed over
   */
  add(samples: Float64Array, frames: number, lowest: number, highest: number): void {
    if (frames === 0) return
    if (this.#frame === 0) {
      // No step leads into the first sample.
      this.#previous = samples[0]
      this.#beforePrevious = samples[0]
    }
    const above = this.#above
    const below = this.#below
    const touched = highest >= above.floor || lowest <= -below.floor || above.runLength + below.runLength > 0
    if (touched || this.#quantiserStep > FINEST_STEP) this.#search(samples, frames)
    else this.#beforePrevious = frames > 1 ? samples[frames - 2] : this.#previous
    this.#previous = samples[frames - 1]
    this.#frame += frames
  }

  #search(samples: Float64Array, frames: number): void {
    const above = this.#above
    const below = this.#below
    let previous = this.#previous
    let beforePrevious = this.#beforePrevious
    let quantiserStep = this.#quantiserStep
    let aboveFloor = above.floor
    let belowFloor = -below.floor
    for (let n = 0; n < frames; n++) {
      const sample = samples[n]
      const step = Math.abs(sample - previous)
      while (quantiserStep > FINEST_STEP && sample % quantiserStep !== 0) quantiserStep /= 2
      if (sample >= aboveFloor) {
        above.meet(sample, this.#frame + n, Math.max(step, Math.abs(previous - beforePrevious)))
        aboveFloor = above.floor
      } else if (above.runLength > 0) above.leave(quantiserStep)
      if (sample <= belowFloor) {
        below.meet(-sample, this.#frame + n, Math.max(step, Math.abs(previous - beforePrevious)))
        belowFloor = -below.floor
      } else if (below.runLength > 0) below.leave(quantiserStep)
      beforePrevious = previous
      previous = sample
    }
    this.#beforePrevious = beforePrevious
    this.#quantiserStep = quantiserStep
  }

  /** Complete runs so far at the highest levels so far. */
  count(): number {
    return this.#above.count + this.#below.count
  }

  places(): readonly FirstPlaces[] {
    return [this.#above.places, this.#below.places]
  }
}

/** One polarity, with samples turned so that its side is up. */
class PolarityRuns {
  /** Samples at or above this belong to a run. */
  floor = TOLERANCE
  count = 0
  runLength = 0
  readonly places: FirstPlaces
  #maximum = 0
  // The level that the counted runs are at; runs far below a new maximum were no clipping.
  #runsLevel = 0
  #runStartFrame = 0
  #stepIn = 0

  constructor(sampleRateHz: number) {
    this.places = new FirstPlaces(sampleRateHz)
  }

  meet(level: number, frame: number, stepIn: number): void {
    if (level > this.#maximum) {
      this.#maximum = level
      this.floor = level - TOLERANCE
      if (level > this.#runsLevel + TOLERANCE) {
        this.#runsLevel = level
        this.runLength = 0
        this.count = 0
        this.places.forget()
      }
    }
    if (this.runLength === 0) {
      this.#runStartFrame = frame
      this.#stepIn = stepIn
    }
    this.runLength++
  }

  leave(quantiserStep: number): void {
    const tolerance = TOLERANCE_STEPS * quantiserStep
    if (
      this.runLength >= CLIPPED_RUN_SAMPLES &&
      this.#stepIn >= KINK_TOLERANCES * tolerance &&
      this.#maximum >= JUDGED_TOLERANCES * tolerance
    ) {
      this.count++
      this.places.note(this.#runStartFrame)
    }
    this.runLength = 0
  }
}
