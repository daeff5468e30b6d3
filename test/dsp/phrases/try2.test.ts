import { it } from 'vitest'
import { placesOf } from '../../../app/dsp/phrases/line-search.ts'
import { matchLines } from '../../../app/dsp/phrases/match-lines.ts'
import { framesBetween, surveyTake } from '../../../app/dsp/phrases/surveyed-take.ts'
import { LOOSE_DOUBLE_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../app/dsp/voice/performance.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SUNG_ALTO } from '../../signals/voices.ts'
import { lineSpans, randomLines, scoreOf, take } from './scores.ts'
import { framesOf } from './surveyed.ts'

function run<T, R>(g: Generator<T, R>): R {
  for (;;) {
    const n = g.next()
    if (n.done) return n.value
  }
}

it('matches', () => {
  const lines = randomLines(12, 3, 'rap')
  const lead = take(scoreOf(lines), 1)
  const guide = surveyTake(framesOf(lead.samples))
  console.log('guide phrases', guide.phrases.length)
  const cases: [string, any, number[]][] = [
    ['self', lead, [...lines.keys()]],
    ['loose', take(scoreOf(lines), 2, { deviations: LOOSE_DOUBLE_DEVIATIONS }), [...lines.keys()]],
    [
      'soft',
      take(scoreOf(lines), 3, { deviations: TIGHT_DOUBLE_DEVIATIONS, effortDb: -6 }),
      [...lines.keys()],
    ],
  ]
  const without = [0, 1, 2, 4, 5, 6, 6, 8, 7, 9, 10, 11]
  cases.push(['edited', take(scoreOf(without.map((i) => lines[i])), 4), without])
  const other = randomLines(12, 77, 'rap')
  cases.push(['other words', take(scoreOf(other), 5), []])
  cases.push(['alto', take(scoreOf(lines), 6, {}, { ...SUNG_ALTO }), [...lines.keys()]])
  for (const [name, t, order] of cases) {
    const s = surveyTake(framesOf(t.samples))
    const t0 = performance.now()
    const m = run(matchLines(guide, s))
    const ms = performance.now() - t0
    const truth = lineSpans(t.truth)
    const gtruth = lineSpans(lead.truth)
    const mid = (x: any) => (x.fromS + x.toS) / 2
    const lineAt = (spans: any, x: number) => spans.findIndex((l: any) => l.fromS <= x && l.toS >= x)
    const rows = m.matches.map((x) => {
      const gl = lineAt(gtruth, mid(guide.phrases[x.guidePhrase]))
      const tl = lineAt(truth, mid(m.phrases[x.phrase]))
      const right = order[tl] === gl
      return `${right ? '' : '!!'}${gl}>${tl}(${x.confidence.toFixed(2)} ${x.offsetS.toFixed(2)}${x.isSpare ? ' spare' : ''})`
    })
    console.log(name, m.phrases.length, ms.toFixed(0), 'ms', rows.join(' '))
    const costs = guide.phrases.map((p) => {
      const pl = placesOf(framesBetween(guide, p.fromS, p.toS), s.cepstra, 2)
      return pl.map((q) => q.cost.toFixed(2)).join('/')
    })
    console.log('   costs', costs.join(' '))
  }
}, 200000)
