// Breaths at five levels: found by the truth of the generated voice, and what becomes of everything else.

import { phrasedTake, RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import { dbOfPower, mended, middleOf } from '../../../signals/mending.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

interface Score {
  hits: number
  of: number
  falseOnes: number
  seconds: number
  readonly edgesMs: number[]
  otherFramesDb: number
}

const FRAME = 480
/** The end of a breath under the noise cannot be heard: nearer than this to it, a frame is no other frame. */
const MARGIN_SECONDS = 0.02

async function scoreAt(breathLevelDb: number): Promise<Score> {
  const score: Score = { hits: 0, of: 0, falseOnes: 0, seconds: 0, edgesMs: [], otherFramesDb: 0 }
  for (const singer of SINGERS) {
    for (const { samples, truth } of [
      phrasedTake(singer, 2, true, { breathLevelDb }),
      songTake(singer, 3, { breathLevelDb }),
    ]) {
      const { take, out, report } = await mended([Float64Array.from(samples)], ['breaths'], { breathsDb: 12 })
      score.seconds += samples.length / RATE_HZ
      for (const { startSeconds, endSeconds } of truth.breaths) {
        score.of++
        const found = report.repairs.find(({ fromS, toS }) => fromS < endSeconds && toS > startSeconds)
        if (found === undefined) continue
        score.hits++
        score.edgesMs.push(
          1000 * Math.abs(found.fromS - startSeconds),
          1000 * Math.abs(found.toS - endSeconds),
        )
      }
      const isBreath = (from: number, to: number): boolean =>
        truth.breaths.some(
          ({ startSeconds, endSeconds }) =>
            from < endSeconds + MARGIN_SECONDS && to > startSeconds - MARGIN_SECONDS,
        )
      score.falseOnes += report.repairs.filter(({ fromS, toS }) => !isBreath(fromS, toS)).length
      for (let at = 0; at + FRAME <= samples.length; at += FRAME) {
        if (isBreath(at / RATE_HZ, (at + FRAME) / RATE_HZ)) continue
        let before = 0
        let after = 0
        for (let n = at; n < at + FRAME; n++) {
          before += take[0][n] ** 2
          after += out[0][n] ** 2
        }
        if (before > 0)
          score.otherFramesDb = Math.max(score.otherFramesDb, Math.abs(dbOfPower(after / before)))
      }
    }
  }
  return score
}

export async function breathRows(): Promise<Row[]> {
  const scores: { readonly where: string; readonly score: Score }[] = []
  for (const level of [-12, -17, -22, -27]) {
    scores.push({ where: `${level} dB`, score: await scoreAt(level) })
  }
  const each = (pick: (score: Score) => number): Reading[] =>
    scores.map(({ where, score }) => ({ where, value: pick(score) }))
  const source = 'figure P17 of the product; kind of sound after Ruinskiy and Lavner 2007'
  return [
    rowOf(
      'P17',
      'breaths 12 to 27 dB under the vowels that are turned down',
      limitOf({ low: 95 }, '%', 1, source),
      each(({ hits, of }) => (100 * hits) / of),
    ),
    rowOf(
      'P17',
      'what is turned down and is no breath',
      limitOf({ high: 2 }, 'a minute', 2, source),
      each(({ falseOnes, seconds }) => (60 * falseOnes) / seconds),
    ),
    rowOf(
      'P17',
      'level of any other 10 ms, changed by',
      limitOf({ high: 0.5 }, 'dB', 2, source),
      each(({ otherFramesDb }) => otherFramesDb),
    ),
    rowOf(
      'P17',
      'edges of breaths 12 to 22 dB down, off by, median',
      limitOf({ high: 35 }, 'ms', 0, source),
      each(({ edgesMs }) => middleOf(edgesMs)).slice(0, 3),
    ),
    rowOf(
      'P17',
      'edges of breaths 27 dB down, off by, median',
      limitOf(
        { high: 60 },
        'ms',
        0,
        'beyond figure P17 (35 ms): they swell out of the noise, so that their first and last 50 ms lie under it',
      ),
      each(({ edgesMs }) => middleOf(edgesMs)).slice(3),
    ),
  ]
}
