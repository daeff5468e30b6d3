// Clipped peaks and pops: the error against the sound without the fault, before and after.

import { renderVoice } from '../../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../../app/dsp/voice/singers.ts'
import { addWhiteNoise, announcements, RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import { changedOutside, clippedAt, dbOfPower, mended, middleOf, sumError } from '../../../signals/mending.ts'
import { exactPerformance, repeatedSyllable, SUNG_ALTO } from '../../../signals/voices.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'
import { haveSpeech } from '../../speech.ts'

interface ClipScore {
  readonly where: string
  readonly gainDb: number
  readonly below: number
  readonly untouched: number
  readonly outside: number
  readonly sumUlps: number
}

async function clipScores(depthDb: number): Promise<ClipScore[]> {
  const voices: { name: string; samples: Float64Array }[] = SINGERS.map((singer) => ({
    name: singer.name,
    samples: Float64Array.from(songTake(singer, 3).samples),
  }))
  if (haveSpeech) voices.push({ name: 'speech of alsa-utils', samples: announcements() })
  const scores: ClipScore[] = []
  for (const { name, samples } of voices) {
    const { take, limit } = clippedAt(samples, depthDb)
    const done = await mended([take], ['clipped'])
    const [out] = done.out
    let before = 0
    let after = 0
    let below = 0
    let untouched = 0
    for (let n = 0; n < take.length; n++) {
      if (Math.abs(samples[n]) <= limit) {
        // Nearer to the limit than a step and a half of 16 bits a sample counts as clipped.
        if (Math.abs(samples[n]) < limit - 1.5 * 2 ** -15 && out[n] !== done.take[0][n]) untouched++
        continue
      }
      before += (take[n] - samples[n]) ** 2
      after += (out[n] - samples[n]) ** 2
      if (Math.abs(out[n]) < limit * (1 - 2 ** -22)) below++
    }
    scores.push({
      ...{ where: name, gainDb: dbOfPower(before / after), below, untouched },
      ...{ outside: changedOutside(done), sumUlps: sumError(done) / 2 ** -23 },
    })
  }
  return scores
}

async function popGains(): Promise<Reading[]> {
  const syllables = [
    [RAP_BARITONE, 'P EH'],
    [SUNG_ALTO, 'P AA'],
    [SUNG_BARITONE, 'P IY'],
  ] as const
  const readings: Reading[] = []
  for (const [singer, spelling] of syllables) {
    const render = (popLevelDb: number) =>
      renderVoice(
        repeatedSyllable(spelling, 12),
        { ...exactPerformance(singer), popLevelDb },
        { sampleRateHz: RATE_HZ, seed: 4 },
      )
    const dry = Float64Array.from(render(-90).samples)
    const { samples, truth } = render(6)
    const popped = Float64Array.from(samples)
    // Both are scaled to one peak, so that they differ by a gain as well.
    let product = 0
    let power = 0
    for (let n = 0; n < dry.length; n++) {
      if (truth.popSeconds.some((seconds) => Math.abs(seconds - n / RATE_HZ) < 0.06)) continue
      product += dry[n] * popped[n]
      power += dry[n] * dry[n]
    }
    const clean = addWhiteNoise(
      dry.map((sample) => (sample * product) / power),
      -70,
      1,
    )
    const { take, out } = await mended([addWhiteNoise(popped, -70, 1)], ['pops'])
    const gains = truth.popSeconds.map((seconds) => {
      const from = Math.round((seconds - 0.03) * RATE_HZ)
      let before = 0
      let after = 0
      for (let n = from; n < from + 0.06 * RATE_HZ; n++) {
        before += (take[0][n] - clean[n]) ** 2
        after += (out[0][n] - clean[n]) ** 2
      }
      return dbOfPower(before / after)
    })
    readings.push({ where: singer.name, value: middleOf(gains) })
  }
  return readings
}

export async function clippedAndPopRows(): Promise<Row[]> {
  const three = await clipScores(3)
  const six = await clipScores(6)
  const each = (pick: (score: ClipScore) => number): Reading[] =>
    [...three, ...six].map((score) => ({ where: score.where, value: pick(score) }))
  const source = 'figure P21 of the product'
  const gain = (scores: readonly ClipScore[]) => scores.map(({ where, gainDb }) => ({ where, value: gainDb }))
  return [
    rowOf(
      'P20',
      'pops 6 dB over the vowels: error less by, median',
      limitOf({ low: 12 }, 'dB', 1, 'figure P20 of the product'),
      await popGains(),
    ),
    rowOf('P21', 'peaks clipped by 3 dB: error less by', limitOf({ low: 10 }, 'dB', 1, source), gain(three)),
    rowOf('P21', 'peaks clipped by 6 dB: error less by', limitOf({ low: 6 }, 'dB', 1, source), gain(six)),
    rowOf(
      'P21',
      'mended peaks below the limit',
      limitOf({ high: 0 }, 'samples', 0, source),
      each(({ below }) => below),
    ),
    rowOf(
      'P21',
      'samples changed that were not clipped',
      limitOf({ high: 0 }, 'samples', 0, source),
      each(({ untouched }) => untouched),
    ),
    rowOf(
      'P24',
      'samples changed outside of mended peaks',
      limitOf({ high: 0 }, 'samples', 0, 'bit by bit'),
      each(({ outside }) => outside),
    ),
    rowOf(
      'P24',
      'result and what was taken away against the take, floats',
      limitOf({ high: 1 }, 'ulp of 1', 2, 'figure P24 of the product'),
      each(({ sumUlps }) => sumUlps),
    ),
  ]
}
