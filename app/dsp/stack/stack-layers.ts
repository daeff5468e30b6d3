// The layers of a stack as its check hears them: what each channel of a layer adds to the left and to the right.

import type { Channels } from '../stage.ts'

/** One layer. Each of its channels is a signal behind the chain; the gains are those of its pan. */
export interface StackLayer {
  readonly id: number
  readonly isLead: boolean
  readonly channels: readonly { readonly left: number; readonly right: number }[]
}

/** A stretch of the sound that is added, in frames from its first one; `to` is not part of it. */
export interface FrameSpan {
  readonly from: number
  readonly to: number
}

/** One channel of one layer, in the order of layers and their channels. */
export interface StackSignal {
  readonly layer: number
  readonly left: number
  readonly right: number
}

/** All channels of all layers in one list. */
export const signalsOf = (layers: readonly StackLayer[]): StackSignal[] =>
  layers.flatMap(({ channels }, layer) => channels.map(({ left, right }) => ({ layer, left, right })))

/** The blocks of all channels in the order of signalsOf. @param blocks one for each layer */
export const blocksOf = (blocks: readonly Channels[]): Float64Array[] => blocks.flat()

/** Whether all samples from `from` up to but not including `to` are 0. */
export function isSilence(samples: Float64Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if (samples[i] !== 0) return false
  return true
}

/** Index of the span that contains a frame, or -1. @param spans in order, not overlapping */
export function spanAt(spans: readonly FrameSpan[], frame: number): number {
  let low = 0
  let high = spans.length
  while (low < high) {
    const middle = (low + high) >> 1
    if (spans[middle].to <= frame) low = middle + 1
    else high = middle
  }
  return low < spans.length && spans[low].from <= frame ? low : -1
}

/** Takes one frame of all channels: `points` samples of each, from index `from` on; valid during the call. */
type TakeFrame = (held: readonly Float64Array[], from: number, span: number) => void

/** Cuts sound into frames that overlap, all channels at once, and tells which span each frame's middle lies in. */
export interface StackFramer {
  /** @param take called with each frame whose middle lies in a span */
  add(blocks: readonly Float64Array[], frames: number, take: TakeFrame): void
}

/** So many frames are taken before what is held is moved to the front. */
const FRAMES_HELD = 4

/** @param points, hop of a frame, in samples */
export function createStackFramer(
  signals: number,
  points: number,
  hop: number,
  spans: readonly FrameSpan[],
): StackFramer {
  const room = points + FRAMES_HELD * hop
  const held = Array.from({ length: signals }, () => new Float64Array(room))
  let heldFrames = 0
  /** Index of the next frame in `held`, and where that is in the sound. */
  let from = 0
  let start = 0
  return {
    add(blocks, frames, take) {
      for (let read = 0; read < frames; ) {
        const count = Math.min(frames - read, room - heldFrames)
        for (let c = 0; c < signals; c++) held[c].set(blocks[c].subarray(read, read + count), heldFrames)
        read += count
        heldFrames += count
        for (; heldFrames - from >= points; from += hop, start += hop) {
          const span = spanAt(spans, start + points / 2)
          if (span >= 0) take(held, from, span)
        }
        if (heldFrames < room) return
        for (let c = 0; c < signals; c++) held[c].copyWithin(0, from)
        heldFrames -= from
        from = 0
      }
    },
  }
}
