// Keeps the ring filled ahead of the read position: fetches spans of a playback and writes them to
// the stream, repeating the loop if there is one. After a change it refetches from just ahead of the
// read position and overwrites what has not been played. It also maps stream frames to session time.
// It has no timer; the caller has to call `pump` regularly.

import type { OpenedPlayback } from '../../app/contract/playback.ts'
import type { FrameRange } from '../formats/frame-range.ts'
import { RING_CHANNELS, type RingWriter } from './ring.ts'

/**
 * How far ahead of the read position the ring is filled, to bridge slow responses and a window that is busy.
 * This does not delay a changed setting, because frames that have not been read are overwritten.
 */
const AHEAD_SECONDS = 3
/**
 * The same at the start and after a change. It grows by a second for each second played, so that a setting that is
 * being dragged does not have 3 s rendered anew with every step, which would delay the next one.
 */
const FIRST_AHEAD_SECONDS = 0.45
/** Length of the first span after a change; short, so that the change is heard soon. */
const FIRST_SPAN_SECONDS = 0.05
/**
 * Each span after it is twice as long, up to this: a span takes several turns of the window's thread, which come
 * rarely while it draws, so short ones would never fill the ring. No longer, because the next change waits for the
 * span that is being rendered.
 */
const MAX_SPAN_SECONDS = 0.25
/** Least new audio ahead before the next change is applied; a long gesture would otherwise drain the ring. */
const RENEWED_SECONDS = 0.3
/**
 * After a change, new audio starts this far ahead of the read position: about the shortest response time.
 * Frames that arrive after their position has been read are dropped.
 */
const REDIRECT_SECONDS = 0.02
/** Crossfade at the seam of a loop. Common practice. */
const SEAM_SECONDS = 0.005
/** Shorter loops are extended to this length. */
const MIN_LOOP_SECONDS = 0.05

/** Fetches session frames. @returns planar samples, RING_CHANNELS times `frames` */
export type FetchSpan = (fromFrame: number, frames: number, signal: AbortSignal) => Promise<Float32Array>

/** Position of the material in session time, in frames. */
export type Extent = Pick<OpenedPlayback, 'startFrame' | 'frames'>

/** Keeps a ring filled with one playback, in session time. */
export interface Feeder {
  /**
   * Fetches and writes until the ring is filled far enough, or the material ends. Calls while a pump
   * is running return the same promise.
   * @throws what the fetch throws, unless it was superseded by a redirect
   */
  pump(): Promise<void>
  /** Pumps as well, and resolves once enough is written to start playing. @throws as pump */
  begin(): Promise<void>
  /**
   * Refetches from just ahead of the read position; with `toFrame`, seeks to that session frame.
   * Resolves once enough is written for the next change, or after another redirect, a failure or close.
   */
  redirect(toFrame?: number): Promise<void>
  /** Sets the loop; a playhead outside it jumps to its start. */
  setLoop(loop: FrameRange | null): void
  /** Updates the start and length of the material. */
  setExtent(extent: Extent): void
  /** Session frame of an absolute stream frame that is written, back to 1 s before the read position. */
  sessionFrameAt(streamFrame: number): number
  /** True once the end of the material is written. */
  readonly hasEnded: boolean
  /** Cancels pending fetches; the feeder is not used again. */
  close(): void
}

/**
 * @param writer writer of the ring, which runs at `sampleRateHz`
 * @param startAtFrame session frame to play first
 */
export function createFeeder(
  writer: RingWriter,
  sampleRateHz: number,
  extent: Extent,
  startAtFrame: number,
  fetchSpan: FetchSpan,
): Feeder {
  const inFrames = (seconds: number): number => Math.round(seconds * sampleRateHz)
  const renewedFrames = inFrames(RENEWED_SECONDS)
  const seamFrames = inFrames(SEAM_SECONDS)
  const fadeFrames = writer.fadeFrames

  let material = extent
  let loop: FrameRange | null = null
  /** Stream frame up to which audio with the current settings is written; older audio may extend further. */
  let freshTo = writer.writtenFrame
  /** Stream frame of the start, or of the last change. */
  let freshFrom = freshTo
  /** Stream frames at which session time jumps, oldest first. */
  let anchors = [{ streamFrame: freshTo, sessionFrame: startAtFrame }]
  /** The last new frames, in which the ring fades back to older audio; the next write repeats them. */
  let carry: Float32Array | null = null
  let generation = 0
  let abort = new AbortController()
  let pumping: Promise<void> | null = null
  let renewal = Promise.withResolvers<void>()
  let spanFrames = inFrames(FIRST_SPAN_SECONDS)

  const sessionFrameAt = (streamFrame: number): number => {
    let anchor = anchors[0]
    for (const next of anchors) if (next.streamFrame <= streamFrame) anchor = next
    return anchor.sessionFrame + (streamFrame - anchor.streamFrame)
  }
  const endFrame = (): number => material.startFrame + material.frames

  /** Fetches a span, padded with silence outside the material. */
  const fetchPadded = async (fromFrame: number, frames: number): Promise<Float32Array> => {
    const from = Math.max(fromFrame, material.startFrame)
    const to = Math.min(fromFrame + frames, endFrame())
    if (from === fromFrame && to === fromFrame + frames) return fetchSpan(from, frames, abort.signal)
    const padded = new Float32Array(RING_CHANNELS * frames)
    if (to <= from) return padded
    const block = await fetchSpan(from, to - from, abort.signal)
    for (let channel = 0; channel < RING_CHANNELS; channel++) {
      padded.set(
        block.subarray(channel * (to - from), (channel + 1) * (to - from)),
        channel * frames + (from - fromFrame),
      )
    }
    return padded
  }

  /** Fetches the rest of the loop, crossfaded into the audio before its start, plus a span from its start. */
  const fetchSeam = async (fromFrame: number, { fromFrame: loopStart, toFrame: loopEnd }: FrameRange) => {
    const room = loopEnd - fromFrame
    // Ends before the next seam, which needs its full length.
    const after = Math.min(spanFrames, loopEnd - loopStart - seamFrames)
    const seam = Math.min(seamFrames, room)
    const tail = await fetchPadded(fromFrame, room)
    // The crossfade ends at the loop's start, so that an attack there stays intact.
    const head = await fetchPadded(loopStart - seam, seam + after)
    const frames = room + after
    const block = new Float32Array(RING_CHANNELS * frames)
    for (let channel = 0; channel < RING_CHANNELS; channel++) {
      const at = channel * frames
      block.set(tail.subarray(channel * room, (channel + 1) * room), at)
      block.set(head.subarray(channel * (seam + after) + seam, (channel + 1) * (seam + after)), at + room)
      for (let i = 0; i < seam; i++) {
        // Equal power, because the two ends of a loop are uncorrelated.
        const angle = (Math.PI / 2) * ((i + 1) / (seam + 1))
        const place = at + room - seam + i
        block[place] = Math.cos(angle) * block[place] + Math.sin(angle) * head[channel * (seam + after) + i]
      }
    }
    return { block, frames, seamAt: room }
  }

  const fetchNext = async () => {
    const from = sessionFrameAt(freshTo)
    const span = spanFrames
    if (loop !== null && from < loop.toFrame) {
      // A remainder shorter than the seam is included, so that every seam has its full length.
      if (loop.toFrame - from <= span + seamFrames) return fetchSeam(from, loop)
      return { block: await fetchPadded(from, span), frames: span, seamAt: null }
    }
    const frames = Math.min(span, endFrame() - from)
    return { block: await fetchPadded(from, frames), frames, seamAt: null }
  }

  const isAtEnd = (): boolean => loop === null && sessionFrameAt(freshTo) >= endFrame()

  const isRenewed = (): boolean => freshTo - writer.readFrame >= renewedFrames || isAtEnd()

  const layDown = (block: Float32Array, frames: number): void => {
    const end = freshTo + frames
    if (carry === null) writer.write(freshTo, block, frames)
    else {
      const joined = join(carry, block)
      writer.write(end - joined.length / RING_CHANNELS, joined, joined.length / RING_CHANNELS, true)
    }
    carry = end < writer.writtenFrame ? lastOf(block, Math.min(fadeFrames, frames)) : null
    freshTo = end
    if (isRenewed()) renewal.resolve()
  }

  const isFilled = (): boolean => {
    const playedFrames = Math.max(0, writer.readFrame - freshFrom)
    const wantedFrames = Math.min(inFrames(AHEAD_SECONDS), inFrames(FIRST_AHEAD_SECONDS) + playedFrames)
    return freshTo - writer.readFrame >= wantedFrames
  }

  const run = async (): Promise<void> => {
    while (!isAtEnd() && !isFilled()) {
      const mine = generation
      try {
        const next = await fetchNext()
        if (mine !== generation) continue
        if (next.seamAt !== null && loop !== null) {
          anchors.push({ streamFrame: freshTo + next.seamAt, sessionFrame: loop.fromFrame })
        }
        layDown(next.block, next.frames)
        spanFrames = Math.min(2 * spanFrames, inFrames(MAX_SPAN_SECONDS))
      } catch (error) {
        // After a change, the failure is that of a request cancelled on purpose.
        if (mine === generation) {
          renewal.resolve()
          throw error
        }
      }
      const read = writer.readFrame
      // The last second is kept, because output lags behind the read position.
      while (anchors.length > 1 && anchors[1].streamFrame <= read - sampleRateHz) anchors.shift()
    }
    // If the material now ends earlier, silence replaces the older audio after its end.
    const rest = writer.writtenFrame - freshTo
    if (isAtEnd() && rest > 0) layDown(new Float32Array(RING_CHANNELS * rest), rest)
  }

  const redirect = (toFrame?: number): Promise<void> => {
    generation++
    spanFrames = inFrames(FIRST_SPAN_SECONDS)
    renewal.resolve()
    renewal = Promise.withResolvers()
    abort.abort()
    abort = new AbortController()
    const at = Math.min(writer.readFrame + inFrames(REDIRECT_SECONDS), writer.writtenFrame)
    let sessionFrame = toFrame ?? sessionFrameAt(at)
    if (loop !== null && (sessionFrame < loop.fromFrame || sessionFrame >= loop.toFrame)) {
      sessionFrame = loop.fromFrame
    }
    anchors = anchors.filter((anchor) => anchor.streamFrame < at)
    anchors.push({ streamFrame: at, sessionFrame })
    freshTo = at
    freshFrom = at
    carry = null
    return renewal.promise
  }

  const pump = (): Promise<void> => {
    pumping ??= run().finally(() => {
      pumping = null
    })
    return pumping
  }

  return {
    pump,
    // A failure frees the renewal too, before anything is written.
    begin: () => Promise.race([pump(), renewal.promise.then(() => (isRenewed() ? undefined : pump()))]),
    redirect,
    setLoop(next) {
      loop =
        next === null
          ? null
          : {
              fromFrame: next.fromFrame,
              toFrame: Math.max(next.toFrame, next.fromFrame + inFrames(MIN_LOOP_SECONDS)),
            }
      void redirect()
    },
    setExtent(next) {
      material = next
    },
    sessionFrameAt,
    get hasEnded() {
      return isAtEnd()
    },
    close() {
      generation++
      carry = null
      loop = null
      freshTo = Number.POSITIVE_INFINITY
      abort.abort()
      renewal.resolve()
    },
  }
}

/** Joins two planar blocks in time. */
function join(first: Float32Array, second: Float32Array): Float32Array {
  const a = first.length / RING_CHANNELS
  const b = second.length / RING_CHANNELS
  const joined = new Float32Array(first.length + second.length)
  for (let channel = 0; channel < RING_CHANNELS; channel++) {
    joined.set(first.subarray(channel * a, (channel + 1) * a), channel * (a + b))
    joined.set(second.subarray(channel * b, (channel + 1) * b), channel * (a + b) + a)
  }
  return joined
}

/** The last frames of a planar block. */
function lastOf(block: Float32Array, frames: number): Float32Array {
  const length = block.length / RING_CHANNELS
  const last = new Float32Array(RING_CHANNELS * frames)
  for (let channel = 0; channel < RING_CHANNELS; channel++) {
    last.set(block.subarray((channel + 1) * length - frames, (channel + 1) * length), channel * frames)
  }
  return last
}
