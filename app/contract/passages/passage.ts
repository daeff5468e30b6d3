// A passage: a span of a take at its place in a layer. A layer is a line of passages in order; one over the whole take is
// the simplest. Everything is a whole number of frames at the session's rate, or dB, and nothing is analysed again later.

import { z } from 'zod'
import { listOf } from '../text/bounded.ts'
import { MAX_FRAMES, MAX_OFFSET_FRAMES, MAX_PASSAGES, MAX_PLANNED_TAKES } from '../text/limits.ts'

/** Of a passage in dB, beside the gain of its layer. */
const PassageGainDb = z.number().min(-60).max(24)
const FadeFrames = z.int().nonnegative().max(MAX_FRAMES)
/** Of the two sounds of a join over its fade, as measured when it was made; 0 gives equal power, 1 equal gain. */
const Correlation = z.number().min(0).max(1)

/** A passage without its take, which the catalogue names by key and a plan by its place in the layer's list. */
const PassageSpan = z.strictObject({
  /** First frame of the take, at the session's rate. */
  sourceFrame: z.int().nonnegative().max(MAX_FRAMES),
  /** Where that frame lies, in frames from the layer's offset. */
  atFrame: z.int().min(-MAX_OFFSET_FRAMES).max(MAX_OFFSET_FRAMES),
  frames: z.int().min(1).max(MAX_FRAMES),
  /** Within the passage; neighbours that overlap fade into one another over exactly the overlap. */
  fadeInFrames: FadeFrames,
  fadeInCorrelation: Correlation,
  fadeOutFrames: FadeFrames,
  fadeOutCorrelation: Correlation,
  gainDb: PassageGainDb,
})
type PassageSpan = z.infer<typeof PassageSpan>

/** A passage of a plan. */
export const PlannedPassage = PassageSpan.extend({
  /** 0: the layer's own take; from 1 on its further takes. */
  take: z.int().nonnegative().max(MAX_PLANNED_TAKES),
})
export type PlannedPassage = z.infer<typeof PlannedPassage>

/** What is wrong with the order or the fades of a line of passages, as part of a sentence; null if nothing is. */
export function disorderIn(passages: readonly PassageSpan[]): string | null {
  for (const [k, one] of passages.entries()) {
    const name = `passage ${k + 1}`
    if (one.fadeInFrames + one.fadeOutFrames > one.frames) return `the fades of ${name} are longer than it is`
    if (k === 0) continue
    const before = passages[k - 1]!
    if (one.atFrame < before.atFrame) return `${name} begins before passage ${k}`
    const overlap = before.atFrame + before.frames - one.atFrame
    if (overlap <= 0) continue
    if (one.fadeInFrames !== overlap || before.fadeOutFrames !== overlap)
      return `${name} overlaps passage ${k} by ${overlap} frames, which is not the length of their fades`
    if (one.fadeInCorrelation !== before.fadeOutCorrelation)
      return `passage ${k} and ${name} name two laws for the fade between them`
  }
  return null
}

/** Passages in the order of their places; only neighbours overlap. */
export const inOrder = <P extends z.ZodType<PassageSpan>>(passage: P) =>
  listOf(passage, MAX_PASSAGES, 1).superRefine((list, context) => {
    const message = disorderIn(list as readonly PassageSpan[])
    if (message !== null) context.addIssue({ code: 'custom', message })
  })

/** Of both ends of a passage: without it, an edge clicks (a cut sine of 100 Hz has -61 dB above 2 kHz after 2 ms). */
const LEAST_FADE_S = 0.002

/**
 * What is wrong with passages in relation to their takes, as part of a sentence; null if nothing is.
 * @param takeFrames length of each take at the session's rate, by the numbers that passages have
 */
export function misfitIn(
  passages: readonly PlannedPassage[],
  takeFrames: readonly number[],
  sampleRateHz: number,
): string | null {
  const least = Math.ceil(LEAST_FADE_S * sampleRateHz)
  for (const [k, one] of passages.entries()) {
    const name = `passage ${k + 1}`
    const frames = takeFrames[one.take]
    if (frames === undefined) return `${name} is of a take that the layer does not have`
    const end = one.sourceFrame + one.frames
    if (end > frames) return `${name} ends at frame ${end} of its take, which has ${frames}`
    if (one.fadeInFrames < least && one.sourceFrame > 0 && !areOne(passages[k - 1], one))
      return `${name} begins within its take with a fade of less than 2 ms, which clicks`
    if (one.fadeOutFrames < least && end < frames && !areOne(one, passages[k + 1]))
      return `${name} ends within its take with a fade of less than 2 ms, which clicks`
  }
  return null
}

/** Whether `b` goes on where `a` ends, in the take and in the layer, without a fade or another gain: nothing is to be heard. */
export const areOne = (a: PlannedPassage | undefined, b: PlannedPassage | undefined): boolean =>
  a !== undefined &&
  b !== undefined &&
  a.take === b.take &&
  a.gainDb === b.gainDb &&
  b.sourceFrame === a.sourceFrame + a.frames &&
  b.atFrame === a.atFrame + a.frames &&
  a.fadeOutFrames === 0 &&
  b.fadeInFrames === 0
