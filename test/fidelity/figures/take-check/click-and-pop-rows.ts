// Clicks and pops. There is no target for the share found: those limits are
// ours and hold what was reached; no false alarm is allowed in either.

import { renderVoice } from '../../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../../app/dsp/voice/singers.ts'
import {
  addWhiteNoise,
  checkOf,
  phrasedTake,
  RATE_HZ,
  SINGERS,
  scored,
  songTake,
} from '../../../signals/checking.ts'
import { type ClickShape, withClicks, withSwellingRumble } from '../../../signals/planted-faults.ts'
import { exactPerformance, repeatedSyllable, SUNG_ALTO } from '../../../signals/voices.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

interface Score {
  readonly where: string
  readonly hits: number
  readonly of: number
  readonly falseAlarms: number
}

const SHAPES: readonly ClickShape[] = ['one sample', 'jump', 'tick']

function clickScores(peakDbfs: number): Score[] {
  const takes = SINGERS.slice(0, 2).map((singer) => songTake(singer, 3).samples)
  return SHAPES.flatMap((shape) =>
    takes.map((samples, i) => {
      const { take, momentsSeconds } = withClicks(samples, shape, peakDbfs)
      return {
        where: `${shape}, ${SINGERS[i].name}`,
        ...scored(momentsSeconds, checkOf(take).evidence.clicks, 0.004),
      }
    }),
  )
}

function popScores(popLevelDb: number): Score[] {
  const syllables = [
    [RAP_BARITONE, 'P EH'],
    [SUNG_ALTO, 'P AA'],
    [SUNG_BARITONE, 'P IY'],
  ] as const
  return syllables.map(([singer, spelling]) => {
    const performance = { ...exactPerformance(singer), popLevelDb }
    const { samples, truth } = renderVoice(repeatedSyllable(spelling, 20), performance, {
      sampleRateHz: RATE_HZ,
      seed: 4,
    })
    const take = addWhiteNoise(Float64Array.from(samples), -70, 1)
    return { where: singer.name, ...scored(truth.popSeconds, checkOf(take).evidence.pops, 0.03) }
  })
}

const recallOf = (scores: readonly Score[]): Reading => {
  const hits = scores.reduce((sum, one) => sum + one.hits, 0)
  const of = scores.reduce((sum, one) => sum + one.of, 0)
  return { where: `${hits} of ${of}`, value: (100 * hits) / of }
}

function alarmsInClean(kind: 'clicks' | 'pops'): Reading[] {
  return SINGERS.flatMap((singer) =>
    [80, singer.tonicHz].map((tonicHz) => ({
      where: `${singer.name} at ${tonicHz} Hz`,
      value: checkOf(songTake({ ...singer, tonicHz }, 7).samples).evidence[kind].length,
    })),
  )
}

const falseAlarmsOf = (scores: readonly Score[]): Reading[] =>
  scores.map(({ where, falseAlarms }) => ({ where, value: falseAlarms }))

export function clickAndPopRows(): Row[] {
  const loud = clickScores(-6)
  const soft = clickScores(-12)
  const strong = popScores(6)
  const weak = popScores(-6)
  const words = phrasedTake(SINGERS[0], 2, true).samples
  const masked = 'ours: clicks under the edges of the voice itself are masked'
  const none = (kind: string) => limitOf({ high: 0 }, kind, 0, 'ours: an alarm that is not true costs trust')
  return [
    rowOf('T1', 'clicks of -6 dBFS that were found', limitOf({ low: 95 }, '%', 1, masked), [recallOf(loud)]),
    rowOf('T1', 'clicks of -12 dBFS that were found', limitOf({ low: 85 }, '%', 1, masked), [recallOf(soft)]),
    rowOf('T1', 'clicks found where there are none', none('clicks'), [
      ...falseAlarmsOf([...loud, ...soft]),
      ...alarmsInClean('clicks'),
    ]),
    rowOf(
      'T1',
      'pops 6 dB over the vowels that were found',
      limitOf({ low: 95 }, '%', 1, 'ours: the notes say how, and no share'),
      [recallOf(strong)],
    ),
    rowOf(
      'T1',
      'pops 6 dB under the vowels that were found',
      limitOf({ low: 60 }, '%', 1, 'ours: in a low voice the weak ones drown'),
      [recallOf(weak)],
    ),
    rowOf('T1', 'pops found where there are none', none('pops'), [
      ...falseAlarmsOf([...strong, ...weak]),
      ...alarmsInClean('pops'),
      { where: 'swelling rumble', value: checkOf(withSwellingRumble(words)).evidence.pops.length },
    ]),
  ]
}
