import { it } from 'vitest'
import { medianOffset, onsetOffsets } from '../../../app/dsp/phrases/line-timing.ts'
import { LOOSE_DOUBLE_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../app/dsp/voice/performance.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { addWhiteNoise, throughFfmpeg } from '../../signals/checking.ts'
import { lineSpans, randomLines, scoreOf, take } from './scores.ts'

const q = (v: number[], s: number) => v.sort((a, b) => a - b)[Math.floor(s * (v.length - 1))].toFixed(1)
it('timing', () => {
  for (const [kind, singer] of [
    ['rap', RAP_BARITONE],
    ['sung', SUNG_BARITONE],
  ] as const) {
    const lines = randomLines(8, 3, kind)
    const lead = take(scoreOf(lines), 1, {}, singer)
    for (const [name, dev, noisy] of [
      ['tight', TIGHT_DOUBLE_DEVIATIONS, false],
      ['loose', LOOSE_DOUBLE_DEVIATIONS, false],
      ['loose mic', LOOSE_DOUBLE_DEVIATIONS, true],
    ] as const) {
      const dbl = take(scoreOf(lines), 2, { deviations: dev }, singer)
      let sound = Float64Array.from(dbl.samples)
      if (noisy)
        sound = addWhiteNoise(throughFfmpeg(sound, 'highpass=f=180,equalizer=f=6000:t=q:w=0.7:g=8'), -50, 3)
      const gl = lineSpans(lead.truth),
        dl = lineSpans(dbl.truth)
      const med: number[] = [],
        on: number[] = []
      gl.forEach((g, p) => {
        const seg = (s: any, f: number, t: number) => ({
          samples: Float64Array.from(s.slice(Math.max(0, f * 48000), t * 48000)),
          sampleRateHz: 48000,
          fromS: Math.max(0, f),
        })
        const f = g.fromS - 0.1
        const G = seg(lead.samples, Math.round(f * 48000) / 48000, g.toS + 0.1)
        const T = seg(sound, Math.round((f - 0.25) * 48000) / 48000, g.toS + 0.35)
        const offs = onsetOffsets(G, T, 0.01, 8000)
        const gs = lead.truth.syllables.filter((s) => s.phraseIndex === p),
          ds = dbl.truth.syllables.filter((s) => s.phraseIndex === p)
        const tr = gs.map((s, i) => 1000 * (ds[i].vowelStartSeconds - s.vowelStartSeconds))
        const m = 1000 * medianOffset(offs)!
        const tm = [...tr].sort((a, b) => a - b)
        const half = tm.length >> 1
        const tmed = tm.length % 2 ? tm[half] : (tm[half - 1] + tm[half]) / 2
        med.push(Math.abs(m - tmed))
        for (const o of offs) {
          let best = 0
          gs.forEach((s, i) => {
            if (Math.abs(s.vowelStartSeconds - o.atS) < Math.abs(gs[best].vowelStartSeconds - o.atS)) best = i
          })
          if (Math.abs(gs[best].vowelStartSeconds - o.atS) < 0.03)
            on.push(Math.abs(1000 * o.offsetS - tr[best]))
        }
      })
      console.log(
        kind,
        name,
        'phrase median',
        q(med, 0.5),
        'max',
        q(med, 1),
        'onset',
        on.length,
        'median',
        q(on, 0.5),
        'P95',
        q(on, 0.95),
        'max',
        q(on, 1),
      )
    }
  }
}, 200000)
