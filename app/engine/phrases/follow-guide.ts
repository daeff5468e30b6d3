// Follows a guide through a take: which phrase is which, and how late each line is, onset by onset.

import type { AudioSource } from '../../audio/audio-source.ts'
import type { OnProgress } from '../../audio/on-progress.ts'
import type { Span } from '../../dsp/maths/span.ts'
import { medianOffset, type OnsetOffset, onsetOffsets } from '../../dsp/phrases/line-timing.ts'
import { type LineMatch, matchLines } from '../../dsp/phrases/match-lines.ts'
import type { SurveyedTake } from '../../dsp/phrases/surveyed-take.ts'
import { readSegment } from './survey-file.ts'

/** An open file and what its survey has found. */
export interface OpenTake {
  readonly audio: AudioSource
  readonly survey: SurveyedTake
}

/** A line of the guide that was found in the take. */
interface FollowedLine extends LineMatch {
  readonly onsets: readonly OnsetOffset[]
}

/** The take's phrases, cut as the guide's where both show the same lines, and the lines found in it. */
export interface FollowedTake {
  readonly phrases: readonly Span[]
  readonly lines: readonly FollowedLine[]
}

/** Sound read around a line, seconds: more in the take, because the path may stray there. */
const AROUND_GUIDE_S = 0.1
const AROUND_TAKE_S = 0.3

/** @param topHz of the mel bands with which both were surveyed */
export async function followGuide(
  guide: OpenTake,
  take: OpenTake,
  topHz: number,
  onProgress: OnProgress,
): Promise<FollowedTake> {
  const search = matchLines(guide.survey, take.survey)
  let step = search.next()
  while (!step.done) {
    await onProgress(step.value)
    step = search.next()
  }
  const { phrases, matches } = step.value
  const lines: FollowedLine[] = []
  for (const match of matches) {
    const { fromS, toS } = guide.survey.phrases[match.guidePhrase]
    const { offsetS } = match
    const onsets = onsetOffsets(
      readSegment(guide.audio, fromS - AROUND_GUIDE_S, toS + AROUND_GUIDE_S),
      readSegment(take.audio, fromS + offsetS - AROUND_TAKE_S, toS + offsetS + AROUND_TAKE_S),
      offsetS,
      topHz,
    ).filter(({ atS }) => isWithin(phrases[match.phrase], atS + offsetS))
    lines.push({ ...match, onsets, offsetS: medianOffset(onsets) ?? offsetS })
    await onProgress(1)
  }
  return { phrases, lines }
}

/** A line that was broken off has onsets only where the take has some. */
const isWithin = ({ fromS, toS }: Span, seconds: number): boolean =>
  seconds >= fromS - AROUND_GUIDE_S && seconds <= toS + AROUND_GUIDE_S
