// Moves a file onto its guide, phrase by phrase, into a new file, without a catalogue, for the command line.

import { resolve } from 'node:path'
import { Failure } from '../../contract/failure.ts'
import { Alignment } from '../../contract/phrases/alignment.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { type MovePlan, planMoves, type TimedPhrase } from '../../dsp/phrases/timing/plan-moves.ts'
import { type FollowedTake, followGuide } from '../../engine/phrases/follow-guide.ts'
import { withLikeness, writableEncoding, writePassages } from '../../engine/phrases/write-passages.ts'
import { refuseExisting } from '../../files/new-file.ts'
import { withScratchFolder } from '../../files/scratch-folder.ts'
import { createPauses } from './pauses.ts'
import { type NamedTake, whyNoPhrases, withSurveyedTakes } from './phrase-takes.ts'
import { rounded } from './rounded.ts'
import { refuseTakeItself, watchUntouched } from './untouched-take.ts'

const DOING = 'Aligning'
/** Approximate shares of the time: the surveys, the search of lines, the rest for writing. */
const SURVEY_PART = 0.5
const SEARCH_PART = 0.4

export interface AlignRequest {
  readonly guide: string
  readonly file: string
  readonly out: string
  /** 0 moves nothing, 1 all the way. */
  readonly tightness: number
}

/**
 * Writes `file`, moved onto `guide`, to `out`; frames, rate and depth stay.
 * @throws Failure of reading and writing; 'not-enough-material' where one has no phrases or no line is in both;
 *   'invalid-input' when `out` is one of them, 'conflict' when it exists, 'changed' when one was written to meanwhile
 */
export async function alignFile(request: AlignRequest, context: CallContext): Promise<Alignment> {
  // Before anything is refused, because it also removes what a killed run left beside the result.
  return withScratchFolder((scratch) => alignInto(request, scratch, context))
}

async function alignInto(request: AlignRequest, scratch: string, context: CallContext): Promise<Alignment> {
  const { tightness } = request
  const out = resolve(request.out)
  const inputs = [request.guide, request.file]
  for (const name of inputs) refuseTakeItself(resolve(name), out, name)
  refuseExisting(out)
  const watched = inputs.map((name) => watchUntouched(name, 'read'))
  const refuseTouched = (): void => {
    for (const refuseOne of watched) refuseOne()
  }
  const onProgress = createPauses(context, DOING)
  return withSurveyedTakes(
    inputs,
    scratch,
    (share) => onProgress(SURVEY_PART * share),
    async ({ takes: [guide, file], topHz }) => {
      const encoding = writableEncoding(file.name, file.audio.format)
      for (const take of [guide, file]) refuseWithoutPhrases(take)
      const followed = await followGuide(guide, file, topHz, (share) =>
        onProgress(SURVEY_PART + SEARCH_PART * share),
      )
      if (followed.lines.length === 0) {
        throw new Failure(
          'not-enough-material',
          `No phrase of ${file.name} was recognised as a line of ${guide.name}, so nothing was moved; check that both have the same words.`,
          { path: file.name },
        )
      }
      const phrases = timedPhrases(followed)
      const plan = planOf(file, phrases, tightness)
      const written = SURVEY_PART + SEARCH_PART
      await writePassages(
        file.audio,
        withLikeness(file.audio, plan.passages),
        out,
        encoding,
        (share) => onProgress(written + (1 - written) * share),
        refuseTouched,
      )
      context.report(1, DOING)
      const { sampleRateHz } = file.audio.format
      return Alignment.parse({
        out: request.out,
        tightness,
        phrases: phrases.map((phrase, i) => reportOf(phrase, plan.moves[i], sampleRateHz)),
        remarks: [...guide.remarks, ...file.remarks],
      } satisfies Alignment)
    },
  )
}

function refuseWithoutPhrases({ name, survey }: NamedTake): void {
  const why = whyNoPhrases(name, survey)
  if (why === null) return
  throw new Failure('not-enough-material', `${why} Nothing was moved.`, { path: name })
}

const timedPhrases = ({ phrases, lines }: FollowedTake): TimedPhrase[] =>
  phrases.map((span, i) => ({ ...span, line: lines.find(({ phrase }) => phrase === i) ?? null }))

function planOf({ audio, survey }: NamedTake, phrases: readonly TimedPhrase[], tightness: number): MovePlan {
  const { track } = survey.frames
  const powers = track.powers.values()
  return planMoves(
    {
      frames: audio.format.frames,
      sampleRateHz: audio.format.sampleRateHz,
      phrases,
      breaths: survey.breaths,
      powerAt: (seconds) => powers[Math.floor(seconds / track.frameSeconds)] ?? 0,
    },
    tightness,
  )
}

function reportOf(
  { fromS, toS, line }: TimedPhrase,
  { shift, left }: MovePlan['moves'][number],
  sampleRateHz: number,
): Alignment['phrases'][number] {
  const movedMs = (1000 * shift) / sampleRateHz
  const offsetMs = line === null ? null : 1000 * line.offsetS
  return {
    fromS: rounded(fromS, 3),
    toS: rounded(toS, 3),
    offsetMs: offsetMs === null ? null : rounded(offsetMs, 1),
    movedMs: rounded(movedMs, 1),
    leftMs: offsetMs === null ? null : rounded(offsetMs + movedMs, 1),
    stretch: 1,
    confidence: line === null ? 0 : rounded(line.confidence, 2),
    left,
  }
}
