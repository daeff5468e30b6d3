import { it } from 'vitest'
import { findPhrases } from '../../../app/dsp/phrases/find-phrases.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SUNG_ALTO } from '../../signals/voices.ts'
import { lineSpans, randomLines, scoreOf, take } from './scores.ts'
import { framesOf } from './surveyed.ts'

it('phrases', () => {
  for (const db of [-33, -27, -22, -17, -12]) {
    for (const [k, singer] of [RAP_BARITONE, SUNG_BARITONE, SUNG_ALTO].entries()) {
      const { samples, truth } = take(
        scoreOf(randomLines(16, 10 + k, k === 0 ? 'rap' : 'sung')),
        5 + k,
        { breathLevelDb: db },
        singer,
      )
      const t0 = performance.now()
      const frames = framesOf(samples)
      const t1 = performance.now()
      const { phrases, breaths, doubt } = findPhrases(frames)
      const lines = lineSpans(truth)
      const gaps = lines.slice(1).map((l, i) => l.fromS - lines[i].toS)
      const same = (l: any) =>
        phrases.filter((p) => Math.min(p.toS, l.toS) - Math.max(p.fromS, l.fromS) > 0.5 * (l.toS - l.fromS))
      const wide = gaps.filter((g) => g >= 0.28).length
      let apart = 0
      gaps.forEach((g, i) => {
        if (g < 0.28) return
        const mid = (lines[i].toS + lines[i + 1].fromS) / 2
        if (!phrases.some((p) => p.fromS < lines[i].toS - 0.05 && p.toS > lines[i + 1].fromS + 0.05)) apart++
      })
      const extra =
        phrases.length -
        lines.length +
        gaps.filter((g, i) =>
          phrases.some((p) => p.fromS < lines[i].toS - 0.05 && p.toS > lines[i + 1].fromS + 0.05),
        ).length
      const brHit = truth.breaths.filter((b) =>
        breaths.some((f) => f.fromS < b.endSeconds && f.toS > b.startSeconds),
      ).length
      const falseB = breaths.filter(
        (f) => !truth.breaths.some((b) => f.fromS < b.endSeconds && f.toS > b.startSeconds),
      )
      console.log(
        db,
        singer.name,
        'gaps',
        Math.min(...gaps).toFixed(2),
        Math.max(...gaps).toFixed(2),
        `${apart}/${wide}`,
        'phrases',
        phrases.length,
        'extra',
        extra,
        'breaths',
        `${brHit}/${truth.breaths.length}`,
        'false',
        falseB.map((f) => f.fromS.toFixed(2)).join(' '),
        doubt,
        (t1 - t0).toFixed(0),
        'ms',
      )
    }
  }
}, 100000)
