// Stacks of whole layers for the figures of the stack check: the first layer leads.

import { type BandBuildUp, buildUpOf } from '../../../../app/dsp/stack/build-up.ts'
import { type CheckedStack, createStackCheck } from '../../../../app/dsp/stack/stack-check.ts'
import { LEAD_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../../app/dsp/voice/performance.ts'
import { renderVoice } from '../../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../../../app/dsp/voice/songs/seven-stairs.ts'
import { gramOf, layersOf, RATE, type TestLayer } from '../../../dsp/stack/measured-stack.ts'
import { whiteNoise } from '../../../signals/noise.ts'

export const ID = 'T4'

export const dbOf = (power: number): number => 10 * Math.log10(power)
export const noise = (seed: number): Float64Array => whiteNoise(20 * RATE, seed)
export const summed = (layers: readonly Float64Array[]): Float64Array =>
  layers[0].map((_, n) => layers.reduce((sum, one) => sum + one[n], 0))

/** The first layer leads; phrases of 1.5 s. @param gains left and right of each layer; 1 and 1 if left out */
export function checkOf(
  layers: readonly Float64Array[],
  gains: readonly (readonly [number, number])[] = [],
): CheckedStack {
  const described: TestLayer[] = layers.map((samples, k) => ({
    samples,
    isLead: k === 0,
    gains: gains[k] ?? [1, 1],
  }))
  const { length } = layers[0]
  const step = 1.5 * RATE
  const check = createStackCheck({
    sampleRateHz: RATE,
    layers: layersOf(described),
    spans: Array.from({ length: Math.floor(length / step) }, (_, i) => ({
      from: i * step,
      to: (i + 1) * step,
    })),
    known: [],
    startS: 0,
  })
  for (let at = 0; at < length; at += 1000) {
    const frames = Math.min(1000, length - at)
    check.add(
      layers.map((samples) => [samples.subarray(at, at + frames)]),
      frames,
    )
  }
  return check.finish(() => {})
}

/** Build-up and shares over the whole sound; the first layer leads. */
export const bandsOf = (layers: readonly Float64Array[]): readonly BandBuildUp[] =>
  buildUpOf(
    gramOf(layers.map((samples) => ({ samples }))).sides,
    layers.map((_, k) => k === 0),
  )

export function sungLayers(count: number): Float64Array[] {
  const takes = Array.from(
    { length: count },
    (_, k) =>
      renderVoice(
        SEVEN_STAIRS_VERSE,
        {
          singer: RAP_BARITONE,
          deviations: k === 0 ? LEAD_DEVIATIONS : TIGHT_DOUBLE_DEVIATIONS,
          effortDb: 0,
          peakDbfs: -7,
          popLevelDb: -6,
        },
        { sampleRateHz: RATE, seed: 7 + k },
      ).samples,
  )
  const frames = Math.min(...takes.map(({ length }) => length))
  return takes.map((samples) => {
    const rms = Math.sqrt(samples.reduce((sum, x) => sum + x * x, 0) / samples.length)
    return Float64Array.from(samples.subarray(0, frames), (x) => (0.1 * x) / rms)
  })
}
