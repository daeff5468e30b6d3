// Every stage, with its settings at the ends of what the contract allows, at the ends of the
// supported rates: the sound stays a number and stays bounded.

import { describe, expect, it } from 'vitest'
import { Band, stageSettings } from '../../../app/contract/chain-document.ts'
import { HIGHEST_RATE_HZ, LOWEST_RATE_HZ, MAX_BANDS } from '../../../app/contract/text/limits.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { createStage } from '../../../app/dsp/stages/create-stage.ts'
import type { StageKind, StageSetup } from '../../../app/dsp/stages/settings.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { runMono } from './stage-laws.ts'

const RATES_HZ = [LOWEST_RATE_HZ, 11_025, 44_100, 96_000, HIGHEST_RATE_HZ]
const DRAWS = 40
/** Of a stage: 48 dB where two settings of a drive add up, and 18 dB for every band of a tone. */
const mostGainDb = (kind: StageKind): number => (kind === 'tone' ? MAX_BANDS * 18 : 48)

const KINDS = (Object.keys(stageSettings) as StageKind[]).filter((kind) => kind !== 'mic-correction')

/** Settings that lie at one end or the other of each range, by a seeded draw. */
function settingsAtEnds(kind: StageKind, uniform: () => number): StageSetup {
  const settings = Object.fromEntries(
    Object.entries(stageSettings[kind].shape as Record<string, unknown>).map(([key, schema]) => [
      key,
      key === 'bands'
        ? Array.from({ length: MAX_BANDS }, () => bandAtEnds(uniform))
        : atEnds(schema, uniform),
    ]),
  )
  const parsed = stageSettings[kind].parse(settings)
  return { kind, settings: parsed } as StageSetup
}

function atEnds(schema: unknown, uniform: () => number): unknown {
  const { minValue, maxValue, options, type } = schema as {
    minValue?: number
    maxValue?: number
    options?: readonly (string | { value: unknown })[]
    type: string
  }
  const pick = <T>(all: readonly T[]): T => all[Math.floor(uniform() * all.length)]
  if (type === 'boolean') return pick([true, false])
  if (options !== undefined) {
    const one = pick(options)
    return typeof one === 'string' ? one : one.value
  }
  return pick([minValue, maxValue])
}

function bandAtEnds(uniform: () => number): unknown {
  const band = Object.fromEntries(
    Object.entries(Band.shape).map(([key, schema]) => [key, atEnds(schema, uniform)]),
  ) as { shape: string; q: number }
  return band.shape === 'bell' ? band : { ...band, q: Math.min(band.q, 1.4) }
}

describe.each(RATES_HZ)('at %d Hz', (sampleRateHz) => {
  it.each(KINDS)('%s gives numbers within bounds', (kind) => {
    const random = createRandom(sampleRateHz + kind.length)
    const noise = whiteNoise(4096, 3, 0.3)
    for (let draw = 0; draw < DRAWS; draw++) {
      const setup = settingsAtEnds(kind, random.uniform)
      const { output } = runMono((layout) => createStage(setup, layout), noise, sampleRateHz)
      const loudest = output.reduce((most, x) => Math.max(most, Number.isNaN(x) ? Infinity : Math.abs(x)), 0)
      expect(loudest, JSON.stringify(setup)).toBeLessThan(10 ** (mostGainDb(kind) / 20))
    }
  })
})
