// Polarity (DSP notes 1.7): songs and held vowels, both ways round.

import { renderVoice } from '../../../../app/dsp/voice/render-voice.ts'
import { phrase } from '../../../../app/dsp/voice/score.ts'
import { addWhiteNoise, checkOf, RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import { throughStage } from '../../../signals/voice-takes.ts'
import { exactPerformance, plainScore, steady } from '../../../signals/voices.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

/** Nine times a vowel of 2.4 s with half a second between them: 22 s of voice. */
function vowelTake(vowel: string, tonicHz: number): Float64Array {
  const singer = steady(SINGERS[tonicHz > 180 ? 1 : 0], tonicHz)
  const phrases = Array.from({ length: 9 }, (_, i) => phrase(2.9 * i, 0, [[0, 2.4, 0, vowel]], false))
  const { samples } = renderVoice({ ...plainScore(27, []), phrases }, exactPerformance(singer), {
    sampleRateHz: RATE_HZ,
    seed: 3,
  })
  return addWhiteNoise(Float64Array.from(samples), -70, 2)
}

/** Verdicts that are not the truth; an abstention counts only where `mustDecide`. */
function wrongVerdicts(where: string, take: Float64Array, mustDecide: boolean): Reading {
  const { verdict } = checkOf(take).evidence.polarity
  const { verdict: turned } = checkOf(take.map((sample) => -sample)).evidence.polarity
  const wrong = mustDecide
    ? [verdict !== 'positive', turned !== 'inverted']
    : [verdict === 'inverted', turned === 'positive']
  return { where, value: wrong.filter((one) => one).length }
}

export function polarityRows(): Row[] {
  const limit = limitOf({ high: 0 }, 'takes', 0, 'target of the DSP notes, section 1.7')
  const vowels = ['AA', 'IY', 'UW'].flatMap((vowel) =>
    [100, 150, 240].map((tonicHz) =>
      wrongVerdicts(`${vowel} at ${tonicHz} Hz`, vowelTake(vowel, tonicHz), true),
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
    rowOf(
      'T1',
      'three vowels at three pitches, both ways round: polarity told wrong or not at all',
      limit,
      vowels,
    ),
    rowOf(
      'T1',
      'songs, plain and behind a correction, both ways round: polarity told wrong',
      limit,
      [...songs, ...corrected].map(({ where, take }) => wrongVerdicts(where, take, false)),
    ),
  ]
}
