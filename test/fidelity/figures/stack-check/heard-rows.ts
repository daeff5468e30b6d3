// What is heard of a lead under doubles.

import { createGlimpseMeter, type GlimpsedSpan } from '../../../../app/dsp/stack/glimpses.ts'
import { layersOf, RATE } from '../../../dsp/stack/measured-stack.ts'
import { scaled } from '../../../signals/speech-stack.ts'
import { limitOf, type Row, rowOf } from '../../rows.ts'
import { ID, sungLayers } from './stacks.ts'

/** The share of the first layer that is heard through the others, over the whole sound. */
export function heardShare(samples: readonly Float64Array[]): number {
  const layers = samples.map((one, k) => ({ samples: one, isLead: k === 0 }))
  const found: GlimpsedSpan[] = []
  const { length } = samples[0]
  const meter = createGlimpseMeter(RATE, layersOf(layers), [{ from: 0, to: length }], (one) =>
    found.push(one),
  )
  for (let at = 0; at < length; at += 1000) {
    const frames = Math.min(1000, length - at)
    meter.add(
      samples.map((one) => one.subarray(at, at + frames)),
      frames,
    )
  }
  meter.finish()
  return found[0].share!
}

export function heard(): Row[] {
  const takes = sungLayers(5)
  const shareAt = (db: number): number =>
    heardShare(takes.map((samples, k) => (k === 0 ? samples : scaled(samples, db))))
  const levels = [-18, -12, -9, -6, -3]
  const shares = levels.map(shareAt)
  const source = 'figure P27; glimpses after Cooke 2006'
  return [
    rowOf(
      ID,
      'what is heard of a lead under four doubles at -12 dB each',
      limitOf({ low: 0.64, high: 0.84 }, '', 3, source),
      [{ where: 'generated voices', value: shares[1] }],
    ),
    rowOf(ID, 'the same at -6 dB each', limitOf({ low: 0.15, high: 0.35 }, '', 3, source), [
      { where: 'generated voices', value: shares[3] },
    ]),
    rowOf(
      ID,
      'how much less is heard with each step of their level',
      limitOf({ low: 0 }, '', 3, `${source}: it only falls`),
      shares
        .slice(1)
        .map((share, i) => ({ where: `${levels[i]} to ${levels[i + 1]} dB`, value: shares[i] - share })),
    ),
  ]
}
