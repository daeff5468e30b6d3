import { describe, expect, it } from 'vitest'
import { createGlimpseMeter, type GlimpsedSpan } from '../../../app/dsp/stack/glimpses.ts'
import { LEAD_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../app/dsp/voice/performance.ts'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { layersOf, RATE, type TestLayer } from './measured-stack.ts'

function glimpse(layers: readonly TestLayer[]): GlimpsedSpan {
  const { length } = layers[0].samples
  const found: GlimpsedSpan[] = []
  const meter = createGlimpseMeter(RATE, layersOf(layers), [{ from: 0, to: length }], (one) =>
    found.push(one),
  )
  for (let at = 0; at < length; at += 1000) {
    const frames = Math.min(1000, length - at)
    meter.add(
      layers.map(({ samples }) => samples.subarray(at, at + frames)),
      frames,
    )
  }
  meter.finish()
  return found[0]
}

describe('the share of the lead that is heard', () => {
  const levelled = (samples: Float32Array): Float64Array => {
    const rms = Math.sqrt(samples.reduce((sum, x) => sum + x * x, 0) / samples.length)
    return Float64Array.from(samples, (x) => (0.1 * x) / rms)
  }
  const takes = [7, 11, 12, 13, 14].map((seed, k) => {
    const deviations = k === 0 ? LEAD_DEVIATIONS : TIGHT_DOUBLE_DEVIATIONS
    const performance = { singer: RAP_BARITONE, deviations, effortDb: 0, peakDbfs: -7, popLevelDb: -6 }
    return levelled(renderVoice(SEVEN_STAIRS_VERSE, performance, { sampleRateHz: RATE, seed }).samples)
  })
  const frames = Math.min(...takes.map(({ length }) => length))
  const sharesAt = (db: number) =>
    glimpse(
      takes.map((samples, k) => ({
        samples: samples.subarray(0, frames).map((x) => (k === 0 ? x : x * 10 ** (db / 20))),
        isLead: k === 0,
      })),
    ).share!

  it('falls with the level of four doubles', () => {
    const shares = [-18, -12, -9, -6, -3].map(sharesAt)
    for (let i = 1; i < shares.length; i++) expect(shares[i]).toBeLessThan(shares[i - 1])
    expect(Math.abs(shares[1] - 0.74)).toBeLessThan(0.1)
    expect(Math.abs(shares[3] - 0.25)).toBeLessThan(0.1)
  })
})
