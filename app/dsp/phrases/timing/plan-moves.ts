// How far each phrase of a take is moved towards the guide, and which passages that makes: whole frames, joined in the
// pauses between phrases and nowhere else. A phrase is moved only if its onsets come closer to the guide's by that.

import type { Span } from '../../maths/span.ts'
import { medianOffset, type OnsetOffset } from '../line-timing.ts'
import type { Passage } from './passages.ts'

/** Why a phrase was left where it was. */
type LeftReason = 'no-line' | 'repeated' | 'unsure' | 'too-far' | 'in-time' | 'no-room'

/** A phrase and what is known of its timing. */
export interface TimedPhrase extends Span {
  /** Null where it is no line of the guide. */
  readonly line: {
    readonly onsets: readonly OnsetOffset[]
    readonly offsetS: number
    readonly confidence: number
    readonly isSpare: boolean
  } | null
}

interface MovedPhrase {
  /** Frames; positive: later. */
  readonly shift: number
  readonly left: LeftReason | null
}

export interface MovePlan {
  /** One for each phrase. */
  readonly moves: readonly MovedPhrase[]
  /** The whole take; their likeness is not measured yet. */
  readonly passages: readonly Passage[]
}

interface TakeToMove {
  readonly frames: number
  readonly sampleRateHz: number
  readonly phrases: readonly TimedPhrase[]
  /** They move with the phrase that follows. */
  readonly breaths: readonly Span[]
  /** Power around a time in seconds, to find the quietest spot of a pause. */
  readonly powerAt: (seconds: number) => number
}

const LEAST_CONFIDENCE = 0.3
const FARTHEST_SECONDS = 1
/** A move has to bring the median onset closer by this much. */
const LEAST_GAIN_SECONDS = 0.003
const FADE_SECONDS = 0.02
const SHORTEST_FADE_SECONDS = 0.002
/** Pauses begin and end this far from the phrases, where the voice has died away and has not begun. */
const AFTER_PHRASE_SECONDS = 0.03
const BEFORE_PHRASE_SECONDS = 0.015
const SEARCH_STEP_SECONDS = 0.002
/** How far back from a phrase its breath may end. */
const BREATH_WITHIN_SECONDS = 0.2

/** @param tightness 0 leaves everything, 1 moves each phrase all the way */
export function planMoves(take: TakeToMove, tightness: number): MovePlan {
  const { phrases, sampleRateHz } = take
  const rooms = roomsOf(take)
  const reasons = phrases.map((phrase) => reasonToLeave(phrase))
  const wanted = phrases.map(({ line }, i) =>
    line === null || reasons[i] !== null ? 0 : -Math.round(tightness * line.offsetS * sampleRateHz),
  )
  let shifts = within(rooms, wanted, reasons)
  // A phrase that gains nothing stays, which leaves its neighbours less room, and so on until all that move gain.
  for (;;) {
    const idle = phrases.findIndex(
      (phrase, i) => reasons[i] === null && !gains(phrase, shifts[i] / sampleRateHz),
    )
    if (idle < 0) break
    reasons[idle] = gains(phrases[idle], wanted[idle] / sampleRateHz) ? 'no-room' : 'in-time'
    shifts = within(rooms, wanted, reasons)
  }
  return {
    moves: shifts.map((shift, i) => ({ shift, left: reasons[i] })),
    passages: passagesOf(take, rooms, shifts),
  }
}

function reasonToLeave({ line }: TimedPhrase): LeftReason | null {
  if (line === null) return 'no-line'
  if (line.isSpare) return 'repeated'
  if (line.confidence < LEAST_CONFIDENCE || line.onsets.length === 0) return 'unsure'
  return Math.abs(line.offsetS) > FARTHEST_SECONDS ? 'too-far' : null
}

/** Whether the onsets come closer: the median by LEAST_GAIN_SECONDS, and the 95th percentile does not go away. */
function gains({ line }: TimedPhrase, shiftS: number): boolean {
  if (line === null) return false
  const sizes = (by: number): OnsetOffset[] =>
    line.onsets.map(({ atS, offsetS }) => ({ atS, offsetS: Math.abs(offsetS + by) }))
  const [before, after] = [sizes(0), sizes(shiftS)]
  return (
    (medianOffset(before) ?? 0) - (medianOffset(after) ?? 0) >= LEAST_GAIN_SECONDS &&
    mostOf(after) <= mostOf(before)
  )
}

const mostOf = (offsets: readonly OnsetOffset[]): number => {
  const sorted = offsets.map(({ offsetS }) => offsetS).sort((a, b) => a - b)
  return sorted[Math.ceil(0.95 * sorted.length) - 1]
}

/** A pause in frames, in which passages may be joined. */
interface Room {
  readonly from: number
  readonly to: number
  readonly fade: number
}

/** The pauses before each phrase, and behind the last one. */
function roomsOf({ phrases, breaths, frames, sampleRateHz }: TakeToMove): Room[] {
  return Array.from({ length: phrases.length + 1 }, (_, i) => {
    const begin = i < phrases.length ? beginOf(phrases[i], breaths) : Number.POSITIVE_INFINITY
    const endBefore = i === 0 ? 0 : endOf(phrases[i - 1], breaths, begin) + AFTER_PHRASE_SECONDS
    const start = Math.min(begin - BEFORE_PHRASE_SECONDS, frames / sampleRateHz)
    const from = Math.ceil(endBefore * sampleRateHz)
    const to = Math.floor(start * sampleRateHz)
    const fade = 2 * Math.floor(Math.min(FADE_SECONDS, (to - from) / sampleRateHz / 3) * (sampleRateHz / 2))
    return { from, to, fade: fade >= SHORTEST_FADE_SECONDS * sampleRateHz ? fade : 0 }
  })
}

/** Where a phrase begins, with the breath before it. */
function beginOf({ fromS }: Span, breaths: readonly Span[]): number {
  const breath = breaths.find(({ toS }) => toS <= fromS + 0.01 && fromS - toS < BREATH_WITHIN_SECONDS)
  return breath === undefined ? fromS : Math.min(fromS, breath.fromS)
}

/** Where a phrase ends, with what sounds like breath behind it: the end of a word may. */
function endOf({ toS }: Span, breaths: readonly Span[], nextBeginS: number): number {
  const behind = breaths.filter(({ fromS }) => fromS >= toS - 0.01 && fromS < nextBeginS - 0.01)
  return Math.max(toS, ...behind.map((breath) => breath.toS))
}

/** By how much the shifts on both sides of a pause may differ: by all of it but the fade. */
const capacityOf = ({ from, to, fade }: Room): number => (fade === 0 ? 0 : Math.max(0, to - from - fade))

/** Away from an end of the take a phrase may move as far as it likes: silence is left there. */
const isFreeEnd = (i: number, count: number, by: number): boolean => (i === 0 || i === count) && by > 0

/** The shifts nearest to those wanted for which every pause has room; phrases with a reason stay at 0. */
function within(
  rooms: readonly Room[],
  wanted: readonly number[],
  reasons: readonly (LeftReason | null)[],
): number[] {
  const count = wanted.length
  const shifts = wanted.map((shift, i) => (reasons[i] === null ? shift : 0))
  const shiftOf = (i: number): number => (i < 0 || i >= count ? 0 : shifts[i])
  for (let isChanged = true; isChanged; ) {
    isChanged = false
    for (let i = 0; i <= count; i++) {
      const [a, b] = [shiftOf(i - 1), shiftOf(i)]
      const excess = Math.abs(b - a) - capacityOf(rooms[i])
      if (excess <= 0 || isFreeEnd(i, count, b - a)) continue
      isChanged = true
      // The one that moves farther gives way; it is never one that stays.
      if (Math.abs(a) > Math.abs(b)) shifts[i - 1] += a > b ? -excess : excess
      else shifts[i] += b > a ? -excess : excess
    }
  }
  return shifts
}

function passagesOf(
  { frames, sampleRateHz, powerAt }: TakeToMove,
  rooms: readonly Room[],
  shifts: readonly number[],
): Passage[] {
  const passages: Passage[] = []
  let place = 0
  let shift = 0
  let fadeFrames = 0
  const end = (at: number): void => {
    passages.push({
      sourceFrame: place - shift,
      placeFrame: place,
      frames: at - place,
      fadeFrames,
      likenessPermille: 0,
    })
  }
  for (let i = 0; i <= shifts.length; i++) {
    const next = shifts[i] ?? 0
    if (next === shift) continue
    const by = next - shift
    if (Math.abs(by) > capacityOf(rooms[i])) {
      // At an end of the take, where silence follows or goes before.
      const edge = Math.max(2, 2 * Math.round((SHORTEST_FADE_SECONDS * sampleRateHz) / 2))
      const at = i === 0 ? next + edge / 2 : frames + shift - edge / 2
      if (i === 0) shift = at + 2 * frames
      end(at)
      place = at
      shift = i === 0 ? next : at - 2 * frames
      fadeFrames = edge
      continue
    }
    const { from, to, fade } = rooms[i]
    const first = from + fade / 2 + Math.max(0, by)
    const last = to - fade / 2 + Math.min(0, by)
    const step = Math.max(1, Math.round(SEARCH_STEP_SECONDS * sampleRateHz))
    let best = first
    let least = Number.POSITIVE_INFINITY
    for (let at = first; at <= last; at += step) {
      const power = powerAt(at / sampleRateHz) + powerAt((at - by) / sampleRateHz)
      if (power >= least) continue
      least = power
      best = at
    }
    end(best + shift)
    place = best + shift
    shift = next
    fadeFrames = fade
  }
  end(frames)
  return passages
}
