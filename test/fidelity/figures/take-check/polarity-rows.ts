// Polarity: songs and held vowels, in both polarities.

import { checkOf, heldVowelTake, SINGERS, songTake } from '../../../signals/checking.ts'
import { throughStage } from '../../../signals/voice-takes.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

/** Counts wrong verdicts; 'undecided' counts as wrong only if `mustDecide`. */
function wrongVerdicts(where: string, take: Float64Array, mustDecide: boolean): Reading {
  const { verdict } = checkOf(take).evidence.polarity
  const { verdict: turned } = checkOf(take.map((sample) => -sample)).evidence.polarity
  const wrong = mustDecide
    ? [verdict !== 'positive', turned !== 'inverted']
    : [verdict === 'inverted', turned === 'positive']
  return { where, value: wrong.filter((one) => one).length }
}

export function polarityRows(): Row[] {
  const limit = limitOf({ high: 0 }, 'takes', 0, 'Takeloft’s own target')
  const vowels = ['AA', 'IY', 'UW'].flatMap((vowel) =>
    [100, 150, 240].map((tonicHz) =>
      wrongVerdicts(`${vowel} at ${tonicHz} Hz`, heldVowelTake(vowel, tonicHz), true),
    ),
  )
  const songs = SINGERS.map((singer) => ({
    where: singer.name,
    take: Float64Array.from(songTake(singer, 2).samples),
  }))
  const corrected = songs.map(({ where, take }) => ({
    where: `${where}, corrected`,
    take: throughStage(take, {
      kind: 'tone',
      settings: {
        bands: [
          { shape: 'low-shelf', frequencyHz: 200, gainDb: -5, q: 0.7 },
          { shape: 'bell', frequencyHz: 3000, gainDb: 6, q: 1 },
          { shape: 'high-shelf', frequencyHz: 8000, gainDb: 5, q: 0.7 },
        ],
      },
    }).samples,
  }))
  return [
    rowOf('T1', 'three vowels at three pitches, both polarities: wrong or undecided verdicts', limit, vowels),
    rowOf(
      'T1',
      'songs, plain and after a correction, both polarities: wrong verdicts',
      limit,
      [...songs, ...corrected].map(({ where, take }) => wrongVerdicts(where, take, false)),
    ),
  ]
}
