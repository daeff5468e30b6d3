// Digital zero: stretches in which every channel is exactly 0, as editing and
// muting leave them and as no microphone does.

import type { Channels } from '../stage.ts'
import { FirstOccurrences } from './first-occurrences.ts'

/** Shorter stretches are not counted: a quiet 16-bit take passes through zero often. */
const COUNTED_SECONDS = 0.1

/** Counts the samples of one take that are exactly 0. */
export class DigitalZero {
  readonly places: FirstOccurrences
  readonly #countedFrames: number
  #runFrames = 0
  #frame = 0
  #countedTotal = 0

  constructor(sampleRateHz: number) {
    this.places = new FirstOccurrences(sampleRateHz)
    this.#countedFrames = Math.round(COUNTED_SECONDS * sampleRateHz)
  }

  add(channels: Channels, frames: number): void {
    for (let from = 0; from < frames; from += this.#countedFrames) {
      this.#addSpan(channels, from, Math.min(frames, from + this.#countedFrames))
    }
    this.#frame += frames
    // A place is noted as soon as it counts; the run itself may go on in the next block.
    if (this.#runFrames >= this.#countedFrames) this.places.note(this.#frame - this.#runFrames)
  }

  /** At most as long as a stretch that counts, so that only its head and tail can be part of one. */
  #addSpan(channels: Channels, from: number, to: number): void {
    let head = from
    while (head < to && isZero(channels, head)) head++
    this.#runFrames += head - from
    if (head === to) return
    this.#closeRun(this.#frame + head)
    let tail = to
    while (isZero(channels, tail - 1)) tail--
    this.#runFrames = to - tail
  }

  /** Frames in stretches of digital zero of 0.1 s or more, so far. */
  frames(): number {
    return this.#countedTotal + (this.#runFrames >= this.#countedFrames ? this.#runFrames : 0)
  }

  #closeRun(endFrame: number): void {
    if (this.#runFrames >= this.#countedFrames) {
      this.#countedTotal += this.#runFrames
      this.places.note(endFrame - this.#runFrames)
    }
    this.#runFrames = 0
  }
}

function isZero(channels: Channels, frame: number): boolean {
  for (let c = 0; c < channels.length; c++) {
    if (channels[c][frame] !== 0) return false
  }
  return true
}
