// Finds the phrases of files and which is which of the guide's, without a catalogue, for the command line.

import { Failure } from '../../contract/failure.ts'
import { PhraseMap } from '../../contract/phrases/phrase-map.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import type { Span } from '../../dsp/maths/span.ts'
import { LEAST_PHRASE_SECONDS } from '../../dsp/phrases/match-lines.ts'
import { phraseLoudness } from '../../dsp/phrases/phrase-loudness.ts'
import { followGuide } from '../../engine/phrases/follow-guide.ts'
import { withScratchFolder } from '../../files/scratch-folder.ts'
import { createPauses } from './pauses.ts'
import { type NamedTake, whyNoPhrases, withSurveyedTakes } from './phrase-takes.ts'
import { rounded } from './rounded.ts'

const DOING = 'Finding phrases'
/** Approximate share of the time that the surveys take. */
const SURVEY_PART = 0.5

/**
 * @param names paths of the guide and of the files to compare with it
 * @throws Failure of reading; 'not-enough-material' where the guide has no phrases
 */
export function findPhrasesOf(
  guideName: string,
  names: readonly string[],
  context: CallContext,
): Promise<PhraseMap> {
  const onProgress = createPauses(context, DOING)
  return withScratchFolder((scratch) =>
    withSurveyedTakes(
      [guideName, ...names],
      scratch,
      (share) => onProgress(SURVEY_PART * share),
      async ({ takes, topHz }) => {
        const [guide, ...others] = takes
        const why = whyNoPhrases(guide.name, guide.survey)
        if (why !== null) {
          throw new Failure(
            'not-enough-material',
            `${why} Name a guide with at least one sung or spoken line.`,
            {
              path: guide.name,
            },
          )
        }
        const map: PhraseMap = {
          files: [fileOf(guide, guide.survey.phrases)],
          matches: [],
          missing: [],
          extra: [],
          remarks: takes.flatMap(({ remarks }) => remarks),
        }
        for (const [i, take] of others.entries()) {
          const { phrases, lines } = await followGuide(guide, take, topHz, (share) =>
            onProgress(SURVEY_PART + ((1 - SURVEY_PART) * (i + share)) / others.length),
          )
          const without = whyNoPhrases(take.name, take.survey)
          if (without !== null) map.remarks.push(without)
          map.files.push(fileOf(take, phrases))
          for (const { phrase, guidePhrase, offsetS, confidence } of lines) {
            map.matches.push({
              file: take.name,
              phrase: phrase + 1,
              guidePhrase: guidePhrase + 1,
              offsetMs: rounded(1000 * offsetS, 1),
              confidence: rounded(confidence, 2),
            })
          }
          for (const g of guide.survey.phrases.keys()) {
            if (lines.some(({ guidePhrase }) => guidePhrase === g)) continue
            map.missing.push({ file: take.name, guidePhrase: g + 1 })
          }
          for (const [p, { fromS, toS }] of phrases.entries()) {
            if (toS - fromS < LEAST_PHRASE_SECONDS || lines.some(({ phrase }) => phrase === p)) continue
            map.extra.push({ file: take.name, phrase: p + 1 })
          }
        }
        context.report(1, DOING)
        return PhraseMap.parse(map)
      },
    ),
  )
}

function fileOf({ name, survey }: NamedTake, phrases: readonly Span[]): PhraseMap['files'][number] {
  return {
    file: name,
    phrases: phrases.map((span, i) => {
      const loudness = phraseLoudness(survey.frames, span)
      return {
        id: i + 1,
        fromS: rounded(span.fromS, 3),
        toS: rounded(span.toS, 3),
        loudnessLufs: loudness === null ? null : rounded(loudness, 1),
      }
    }),
  }
}
