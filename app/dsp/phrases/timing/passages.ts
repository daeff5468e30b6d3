// A take as a line of passages, as data and as sound. Each passage is a stretch of the take at a place; where the next one
// reads on at another distance, both are crossfaded around its beginning. Everything is integers, so that it can be stored
// and gives the same samples again; outside of the fades the samples are those of the take.

import { gainAtRise, riseAt } from '../../passages/join-law.ts'

/** Frames. The first passage begins at place 0; each ends where the next begins. */
export interface Passage {
  readonly sourceFrame: number
  readonly placeFrame: number
  readonly frames: number
  /** Length of the crossfade with the passage before, half of it on each side of placeFrame; even, 0 for the first. */
  readonly fadeFrames: number
  /** How alike both sides are over the fade, 0 to 1000: sets its law. */
  readonly likenessPermille: number
}

/** Fills `into` from index `at` with frames of the take; zeros outside of it. */
export type ReadFrames = (startFrame: number, frames: number, into: Float64Array[], at: number) => void

/**
 * Renders by position: any split into calls gives the same samples.
 * @param into one array per channel @param spare as `into`, used for the other side of fades
 */
export function renderPassages(
  passages: readonly Passage[],
  read: ReadFrames,
  startFrame: number,
  frames: number,
  into: Float64Array[],
  spare: Float64Array[],
): void {
  const endFrame = startFrame + frames
  for (const { sourceFrame, placeFrame, frames: length } of passages) {
    const from = Math.max(startFrame, placeFrame)
    const to = Math.min(endFrame, placeFrame + length)
    if (from < to) read(sourceFrame + from - placeFrame, to - from, into, from - startFrame)
  }
  for (const [k, passage] of passages.entries()) {
    const { placeFrame, fadeFrames } = passage
    const from = Math.max(startFrame, placeFrame - fadeFrames / 2)
    const to = Math.min(endFrame, placeFrame + fadeFrames / 2)
    if (k === 0 || from >= to) continue
    fadeBetween(passages[k - 1], passage, read, from, to, startFrame, into, spare)
  }
}

function fadeBetween(
  before: Passage,
  after: Passage,
  read: ReadFrames,
  from: number,
  to: number,
  startFrame: number,
  into: Float64Array[],
  spare: Float64Array[],
): void {
  const first = after.placeFrame - after.fadeFrames / 2
  const likeness = after.likenessPermille / 1000
  read(before.sourceFrame + from - before.placeFrame, to - from, into, from - startFrame)
  read(after.sourceFrame + from - after.placeFrame, to - from, spare, 0)
  for (let place = from; place < to; place++) {
    const rise = riseAt(place - first, after.fadeFrames)
    const goes = gainAtRise(1 - rise, likeness)
    const comes = gainAtRise(rise, likeness)
    for (let c = 0; c < into.length; c++) {
      const at = place - startFrame
      into[c][at] = goes * into[c][at] + comes * spare[c][place - from]
    }
  }
}

/** Correlation of two stretches in thousandths, clamped to 0 to 1000; 1000 for silence, where nothing can be heard. */
export function likenessOf(a: Float64Array, b: Float64Array): number {
  let product = 0
  let energyA = 0
  let energyB = 0
  for (let n = 0; n < a.length; n++) {
    product += a[n] * b[n]
    energyA += a[n] * a[n]
    energyB += b[n] * b[n]
  }
  const norm = Math.sqrt(energyA * energyB)
  return norm > 0 ? Math.round(1000 * Math.max(0, Math.min(1, product / norm))) : 1000
}
