// Phrases against the table of syllables of the generated voices.

import { checkOf, phrasedTake, SINGERS } from '../../../signals/checking.ts'
import { limitOf, type Row, rowOf } from '../../rows.ts'

const PAD_BEFORE_SECONDS = 0.06
const PAD_AFTER_SECONDS = 0.12
const PHRASES = 12

interface Edges {
  readonly onsetErrorsMs: number[]
  /** What is missing of an /s/ at either end of a phrase. */
  readonly sibilantsShortenedMs: number[]
}

function edgesOf(breath: boolean): Edges {
  const onsetErrorsMs: number[] = []
  const sibilantsShortenedMs: number[] = []
  for (const [i, singer] of SINGERS.entries()) {
    const { samples, truth } = phrasedTake(singer, i + 2, breath, {
      room: { reflections: [], noiseFloorDbfs: -70 },
    })
    const { phrases } = checkOf(samples).evidence
    for (let p = 0; p < PHRASES; p++) {
      const syllables = truth.syllables.filter(({ phraseIndex }) => phraseIndex === p)
      const start = syllables[0].consonantStartSeconds
      const end = syllables[syllables.length - 1].endSeconds
      const found = phrases.find(({ fromS, toS }) => fromS < end && toS > start)
      const late = found === undefined ? Infinity : found.fromS + PAD_BEFORE_SECONDS - start
      const early = found === undefined ? Infinity : end - (found.toS - PAD_AFTER_SECONDS)
      onsetErrorsMs.push(1000 * Math.abs(late))
      if (/^(S|SH|Z) /.test(syllables[0].spelling)) sibilantsShortenedMs.push(1000 * late)
      // Every phrase ends with an /s/.
      sibilantsShortenedMs.push(1000 * early)
    }
  }
  return { onsetErrorsMs, sibilantsShortenedMs }
}

const quantile = (values: readonly number[], share: number): number =>
  values.toSorted((a, b) => a - b)[Math.min(values.length - 1, Math.floor(share * values.length))]

export function phraseRows(): Row[] {
  const target = 'Takeloft’s own target'
  const explained = 'ours: where a breath runs into a soft consonant nobody could say to 40 ms where it ends'
  const clear = edgesOf(false)
  const breathed = edgesOf(true)
  const at = (value: number) => [{ where: `${SINGERS.length * PHRASES} phrases`, value }]
  return [
    rowOf(
      'T1',
      'phrase onsets without breaths, median',
      limitOf({ high: 15 }, 'ms', 1, target),
      at(quantile(clear.onsetErrorsMs, 0.5)),
    ),
    rowOf(
      'T1',
      'the same, 95 %',
      limitOf({ high: 40 }, 'ms', 1, target),
      at(quantile(clear.onsetErrorsMs, 0.95)),
    ),
    rowOf(
      'T1',
      'phrase onsets after breaths, median',
      limitOf({ high: 20 }, 'ms', 1, explained),
      at(quantile(breathed.onsetErrorsMs, 0.5)),
    ),
    rowOf(
      'T1',
      'the same, 95 %',
      limitOf({ high: 60 }, 'ms', 1, explained),
      at(quantile(breathed.onsetErrorsMs, 0.95)),
    ),
    rowOf(
      'T1',
      'what a phrase takes off an /s/ at its start or end',
      limitOf({ high: 10 }, 'ms', 1, target),
      [...clear.sibilantsShortenedMs, ...breathed.sibilantsShortenedMs].map((value) => ({
        where: 'one /s/',
        value,
      })),
    ),
  ]
}
