// Short stretches of all layers, kept while the stack is rendered, so that pairs of layers can be compared afterwards.

import { pointsAtRate } from '../maths/points-at-rate.ts'
import { type FrameSpan, isSilence, type StackSignal, spanAt } from './stack-layers.ts'

/** One stretch; layers[k] is null where the layer is silent. */
export interface LayerClip {
  /** The whole span that it is the beginning of. */
  readonly span: FrameSpan
  readonly layers: readonly (Float32Array | null)[]
}

const CLIP_FRAMES_AT_48K = 65_536
/** Most sound that is kept, in bytes. */
const MAX_BYTES = 96 * 1024 * 1024

interface ClipKeeper {
  /** @param blocks one for each channel, as in signalsOf */
  add(blocks: readonly Float64Array[], frames: number): void
  clips(): readonly LayerClip[]
}

/** Keeps the first 1.4 s of as many spans as fit, spread over all of them. */
export function createClipKeeper(
  sampleRateHz: number,
  signals: readonly StackSignal[],
  layers: number,
  spans: readonly FrameSpan[],
): ClipKeeper {
  const length = pointsAtRate(CLIP_FRAMES_AT_48K, sampleRateHz)
  const room = Math.max(1, Math.floor(MAX_BYTES / (4 * length * Math.max(1, layers))))
  const step = Math.max(1, Math.ceil(spans.length / room))
  const chosen = spans.filter((_, i) => i % step === 0)
  const kept = chosen.map(({ from, to }) => ({ from, to: Math.min(to, from + length) }))
  const clips = kept.map(() => Array.from({ length: layers }, (): Float32Array | null => null))
  let at = 0

  return {
    add(blocks, frames) {
      for (let read = 0; read < frames; ) {
        const index = spanAt(kept, at + read)
        if (index < 0) {
          read = Math.min(frames, nextStart(kept, at + read) - at)
          continue
        }
        const { from, to } = kept[index]
        const count = Math.min(frames - read, to - at - read)
        for (const [c, { layer, left, right }] of signals.entries()) {
          // A layer whose channels cancel in mono is compared by its louder side.
          const gain = left + right === 0 ? Math.max(left, right) : Math.sign(left + right)
          const block = blocks[c]
          let clip = clips[index][layer]
          if (clip === null) {
            if (isSilence(block, read, read + count)) continue
            clip = new Float32Array(to - from)
            clips[index][layer] = clip
          }
          addScaled(clip, at + read - from, block, read, count, gain)
        }
        read += count
      }
      at += frames
    },
    clips: () => chosen.map((span, i) => ({ span, layers: clips[i] })),
  }
}

function addScaled(
  clip: Float32Array,
  into: number,
  block: Float64Array,
  from: number,
  count: number,
  gain: number,
): void {
  for (let i = 0; i < count; i++) clip[into + i] += gain * block[from + i]
}

function nextStart(spans: readonly FrameSpan[], frame: number): number {
  for (const { from } of spans) if (from > frame) return from
  return Number.POSITIVE_INFINITY
}
