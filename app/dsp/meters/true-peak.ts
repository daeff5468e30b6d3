// True peak after ITU-R BS.1770-5 Annex 2, with a longer interpolator than the
// printed 48 taps (which are off by up to 0.2 dB) and more oversampling. Stretches that
// provably cannot exceed the peak so far are not interpolated, so most of a voice
// costs two comparisons per sample; the reading is the same as if all were.

import { dbFromGain } from '../maths/decibels.ts'
import type { Channels } from '../stage.ts'
import { copyIn, copyOut, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'
import { rowAt } from '../wasm/row.ts'
import { FirstOccurrences, firstOccurrenceSeconds } from './first-occurrences.ts'
import { createInterpolator, GROUP_FRAMES, type Interpolator } from './true-peak-interpolator.ts'

/** 8 times 44.1 kHz; then a tone at 0.45 of the rate under-reads by 0.14 dB at most (Attachment 1). */
const LOWEST_OVERSAMPLED_HZ = 352_800
const WORK_GROUPS = 42
const WORK_FRAMES = (WORK_GROUPS + 2) * GROUP_FRAMES

const rows = createWorkRows()
// One double before the first sample and one behind the last, for the second differences at both ends.
const surveyed = rowAt(rows.row(WORK_FRAMES + 2), 2)
const before = viewOf(rowAt(surveyed, -1), 1)
const behind = viewOf(rowAt(surveyed, WORK_FRAMES), 1)
const surveyedGroups = rows.row(WORK_GROUPS + 2)

/** Above this a take counts as over full scale: 0 dBTP and the interpolator's own ripple. */
export const OVER_FULL_SCALE_DBTP = 0.01
const OVER_FULL_SCALE = 10 ** (OVER_FULL_SCALE_DBTP / 20)

interface TruePeakMeter {
  /** @param frames how many frames of every channel to take, finite values only */
  add(channels: Channels, frames: number): void
  /**
   * Greatest true peak of any channel so far in dBTP, as if silence came before and
   * after; null while everything was zero.
   */
  truePeakDbtp(): number | null
  /** The first places above OVER_FULL_SCALE_DBTP, seconds from the start. */
  oversAtSeconds(): number[]
}

/** Oversampling factor at a rate: a power of two, 8 at 44.1 and 48 kHz, 4 at 96, 2 at 192. */
export function truePeakOversampling(sampleRateHz: number): number {
  return Math.max(2, 2 ** Math.ceil(Math.log2(LOWEST_OVERSAMPLED_HZ / sampleRateHz)))
}

/** @param layout any number of channels */
export function createTruePeakMeter(layout: {
  readonly sampleRateHz: number
  readonly channels: number
}): TruePeakMeter {
  const { sampleRateHz } = layout
  const interpolator = createInterpolator(truePeakOversampling(sampleRateHz))
  const lanes = Array.from({ length: layout.channels }, () => new PeakLane(interpolator, sampleRateHz))
  return {
    add(channels, frames) {
      for (let c = 0; c < lanes.length; c++) lanes[c].add(channels[c], frames)
    },
    truePeakDbtp() {
      const peak = Math.max(...lanes.map((lane) => lane.finished().peak))
      return peak > 0 ? dbFromGain(peak) : null
    },
    oversAtSeconds: () =>
      firstOccurrenceSeconds(
        lanes.map((lane) => lane.finished().overs),
        sampleRateHz,
      ),
  }
}

/**
 * One channel. The work buffer is a row of groups; a group can be interpolated once
 * its two neighbours are there, so the last two groups stay for the next round.
 */
class PeakLane {
  readonly #interpolator: Interpolator
  readonly #sampleRateHz: number
  readonly #work = new Float64Array(WORK_FRAMES)
  readonly #groupPeak = new Float64Array(WORK_GROUPS + 2)
  readonly #groupBend = new Float64Array(WORK_GROUPS + 2)
  // Silence before the first sample.
  #filled = 2 * GROUP_FRAMES
  #firstFrame = -2 * GROUP_FRAMES
  peak = 0
  readonly overs: FirstOccurrences

  constructor(interpolator: Interpolator, sampleRateHz: number) {
    this.#interpolator = interpolator
    this.#sampleRateHz = sampleRateHz
    this.overs = new FirstOccurrences(sampleRateHz)
  }

  add(samples: Float64Array, frames: number): void {
    let read = 0
    while (read < frames) {
      const count = Math.min(frames - read, WORK_FRAMES - this.#filled)
      this.#work.set(samples.subarray(read, read + count), this.#filled)
      read += count
      this.#filled += count
      if (this.#filled === WORK_FRAMES) this.#round()
    }
  }

  /** A copy of this lane after trailing silence; the lane itself stays open. */
  finished(): PeakLane {
    const copy = new PeakLane(this.#interpolator, this.#sampleRateHz)
    copy.#work.set(this.#work.subarray(0, this.#filled))
    copy.#filled = this.#filled
    copy.#firstFrame = this.#firstFrame
    copy.peak = this.peak
    for (const frame of this.overs.frames()) copy.overs.note(frame)
    copy.add(new Float64Array(WORK_FRAMES + 2 * GROUP_FRAMES), WORK_FRAMES + 2 * GROUP_FRAMES)
    return copy
  }

  #round(): void {
    this.#surveyPeaks()
    let isBendKnown = false
    const groupPeak = this.#groupPeak
    const groupBend = this.#groupBend
    const { peakFactor, nearFactor, bendFactor } = this.#interpolator
    for (let g = 1; g <= WORK_GROUPS; g++) {
      const near = Math.max(groupPeak[g], groupPeak[g + 1])
      const wide = Math.max(groupPeak[g - 1], near)
      const beaten = this.overs.full ? this.peak : Math.min(this.peak, OVER_FULL_SCALE)
      if (wide * peakFactor <= beaten) continue
      // Voice is smooth where it is loud, so the second bound rules out most of the rest.
      if (!isBendKnown) this.#surveyBends()
      isBendKnown = true
      const bend = Math.max(groupBend[g - 1], groupBend[g], groupBend[g + 1])
      const candidate = (beaten - bend * bendFactor) / nearFactor
      if (near > candidate) this.#interpolate(g * GROUP_FRAMES, candidate)
    }
    this.#work.copyWithin(0, WORK_GROUPS * GROUP_FRAMES)
    this.#filled = 2 * GROUP_FRAMES
    this.#firstFrame += WORK_GROUPS * GROUP_FRAMES
  }

  /** Greatest magnitude in each group. */
  #surveyPeaks(): void {
    copyIn(this.#work, surveyed, WORK_FRAMES)
    kernels.writeGroupPeaks(surveyed, WORK_GROUPS + 2, GROUP_FRAMES, surveyedGroups)
    copyOut(surveyedGroups, this.#groupPeak, WORK_GROUPS + 2)
  }

  /** Greatest second difference in each group of those samples. */
  #surveyBends(): void {
    // The outermost samples have a neighbour on one side only; no result depends on them.
    before[0] = this.#work[0]
    behind[0] = this.#work[WORK_FRAMES - 1]
    kernels.writeGroupBends(surveyed, WORK_GROUPS + 2, GROUP_FRAMES, surveyedGroups)
    copyOut(surveyedGroups, this.#groupBend, WORK_GROUPS + 2)
  }

  /** Interpolates the intervals of a group that have a sample above `candidate` at one end. */
  #interpolate(start: number, candidate: number): void {
    const samples = this.#work
    for (let n = start; n < start + GROUP_FRAMES; n++) {
      if (Math.abs(samples[n]) <= candidate && Math.abs(samples[n + 1]) <= candidate) continue
      const found = this.#interpolator.intervalPeak(samples, n)
      if (found > this.peak) this.peak = found
      if (found > OVER_FULL_SCALE) this.overs.note(this.#firstFrame + n)
    }
  }
}
