// Counts what the search of phrases and lines finds against what is known of takes.

import type { Span } from '../../../app/dsp/maths/span.ts'
import { findPhrases } from '../../../app/dsp/phrases/find-phrases.ts'
import { medianOffset, onsetOffsets, type Segment } from '../../../app/dsp/phrases/line-timing.ts'
import { matchLines } from '../../../app/dsp/phrases/match-lines.ts'
import { surveyTake } from '../../../app/dsp/phrases/surveyed-take.ts'
import { planMoves } from '../../../app/dsp/phrases/timing/plan-moves.ts'
import type { VoiceTruth } from '../../../app/dsp/voice/voice-truth.ts'
import { lineSpans } from './scores.ts'
import { finished, framesOf } from './surveyed.ts'

/** A take and where its lines lie; `line` is the number of the line in the guide, or less than 0 for another. */
export interface KnownTake {
  readonly samples: ArrayLike<number>
  readonly lines: readonly (Span & { readonly line: number })[]
}

export const known = (
  samples: ArrayLike<number>,
  truth: VoiceTruth,
  order: readonly number[],
): KnownTake => ({
  samples,
  lines: lineSpans(truth).map((span, i) => ({ ...span, line: order[i] })),
})

/** Gaps of so many seconds and more, how many of them part two phrases, and phrases that are none. */
export function countBorders(
  { samples, lines }: KnownTake,
  gapSeconds: number,
): { gaps: number; apart: number; phrases: number; extra: number } {
  const { phrases } = findPhrases(framesOf(samples))
  const isJoined = (i: number): boolean =>
    phrases.some(({ fromS, toS }) => fromS < lines[i].toS - 0.05 && toS > lines[i + 1].fromS + 0.05)
  const gaps = lines.slice(1).flatMap(({ fromS }, i) => (fromS - lines[i].toS >= gapSeconds ? [i] : []))
  const joined = lines.slice(1).filter((_, i) => isJoined(i)).length
  return {
    gaps: gaps.length,
    apart: gaps.filter((i) => !isJoined(i)).length,
    phrases: phrases.length,
    extra: Math.max(0, phrases.length - (lines.length - joined)),
  }
}

/** How many lines of the guide were matched rightly and wrongly in a take, and how many that it has were not. */
export function countLines(
  guideTake: KnownTake,
  take: KnownTake,
): { right: number; wrong: number; unfound: number; repeated: number; extra: number } {
  const guide = surveyTake(framesOf(guideTake.samples))
  const { phrases, matches } = finished(matchLines(guide, surveyTake(framesOf(take.samples))))
  const linesIn = (lines: KnownTake['lines'], span: Span): number[] =>
    lines
      .filter(
        ({ fromS, toS }) =>
          Math.min(toS, span.toS) - Math.max(fromS, span.fromS) >
          0.5 * Math.min(toS - fromS, span.toS - span.fromS),
      )
      .map(({ line }) => line)
  let right = 0
  let wrong = 0
  const found = new Set<number>()
  for (const { phrase, guidePhrase } of matches) {
    const wanted = linesIn(guideTake.lines, guide.phrases[guidePhrase])
    const got = linesIn(take.lines, phrases[phrase])
    if (got.some((line) => wanted.includes(line))) right++
    else wrong++
    for (const line of got) found.add(line)
  }
  const lines = take.lines.map(({ line }) => line)
  return {
    right,
    wrong,
    unfound: [...new Set(lines)].filter((line) => line >= 0 && !found.has(line)).length,
    repeated: matches.filter(({ isSpare }) => isSpare).length,
    extra: phrases.filter((_, p) => !matches.some(({ phrase }) => phrase === p)).length,
  }
}

/** Errors in ms of the offset of each line, and of single onsets near a vowel's, against the truth of both takes. */
export function timingErrors(
  lead: { readonly samples: ArrayLike<number>; readonly truth: VoiceTruth },
  double: { readonly samples: ArrayLike<number>; readonly truth: VoiceTruth },
): { lines: number[]; onsets: number[] } {
  const lines: number[] = []
  const onsets: number[] = []
  for (const [p, { fromS, toS }] of lineSpans(lead.truth).entries()) {
    const found = onsetOffsets(
      segmentOf(lead.samples, fromS - 0.1, toS + 0.1),
      segmentOf(double.samples, fromS - 0.35, toS + 0.35),
      0,
      8000,
    )
    const own = lead.truth.syllables.filter(({ phraseIndex }) => phraseIndex === p)
    const other = double.truth.syllables.filter(({ phraseIndex }) => phraseIndex === p)
    const offsets = own.map(({ vowelStartSeconds }, i) => other[i].vowelStartSeconds - vowelStartSeconds)
    const near = found.flatMap((onset) => {
      const i = nearest(
        own.map(({ vowelStartSeconds }) => vowelStartSeconds),
        onset.atS,
      )
      return Math.abs(own[i].vowelStartSeconds - onset.atS) < 0.03 ? [{ onset, truth: offsets[i] }] : []
    })
    for (const { onset, truth } of near) onsets.push(1000 * Math.abs(onset.offsetS - truth))
    // The median of the very syllables whose onsets were found: another choice of syllables has another median.
    const wanted = medianOffset(near.map(({ onset, truth }) => ({ ...onset, offsetS: truth })))
    const got = medianOffset(found)
    lines.push(wanted === null || got === null ? Number.POSITIVE_INFINITY : 1000 * Math.abs(got - wanted))
  }
  return { lines, onsets }
}

/** How much later a stretch of one take is in another that is at most 0.15 s away, seconds; null where nothing begins. */
export const offsetOf = (
  guide: ArrayLike<number>,
  take: ArrayLike<number>,
  { fromS, toS }: Span,
): number | null =>
  medianOffset(
    onsetOffsets(
      segmentOf(guide, fromS - 0.1, toS + 0.1),
      segmentOf(take, fromS - 0.35, toS + 0.35),
      0,
      8000,
    ),
  )

/** By how many frames each phrase of a take is moved onto its guide, all the way. */
export function shiftsOf(guideSamples: ArrayLike<number>, samples: ArrayLike<number>): number[] {
  const [guide, take] = [guideSamples, samples].map((one) => surveyTake(framesOf(one)))
  const { phrases, matches } = finished(matchLines(guide, take))
  const timed = phrases.map((span, i) => {
    const match = matches.find(({ phrase }) => phrase === i)
    if (match === undefined) return { ...span, line: null }
    const { fromS, toS } = guide.phrases[match.guidePhrase]
    const onsets = onsetOffsets(
      segmentOf(guideSamples, fromS - 0.1, toS + 0.1),
      segmentOf(samples, fromS + match.offsetS - 0.3, toS + match.offsetS + 0.3),
      match.offsetS,
      8000,
    )
    return { ...span, line: { ...match, onsets, offsetS: medianOffset(onsets) ?? 0 } }
  })
  const plan = planMoves(
    { frames: samples.length, sampleRateHz: 48_000, phrases: timed, breaths: take.breaths, powerAt: () => 1 },
    1,
  )
  return plan.moves.map(({ shift }) => shift)
}

function segmentOf(samples: ArrayLike<number>, fromS: number, toS: number, rateHz = 48_000): Segment {
  const from = Math.round(fromS * rateHz)
  const count = Math.round(toS * rateHz) - from
  const part = Float64Array.from({ length: count }, (_, n) => samples[from + n] ?? 0)
  return { samples: part, sampleRateHz: rateHz, fromS: from / rateHz }
}

const nearest = (values: readonly number[], to: number): number =>
  values.reduce((best, value, i) => (Math.abs(value - to) < Math.abs(values[best] - to) ? i : best), 0)

export const quantileOf = (values: readonly number[], share: number): number =>
  values.toSorted((a, b) => a - b)[Math.floor(share * (values.length - 1))]
