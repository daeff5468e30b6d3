// What is heard is what is bounced, from wherever it starts.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { RenderPlan, StageSetup } from '../../../app/contract/render-plan.ts'
import { activeBlocks, createBlockPowers } from '../../../app/dsp/meters/equal-loudness.ts'
import { createPlaybackEngine } from '../../../app/engine/mixes/playback-engine.ts'
import type { Heard } from '../../../app/engine/mixes/processed-mix.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { plannedGroup, plannedLayer, planOf, takeInMemory } from '../../signals/takes.ts'
import { renderPlan } from '../rendering.ts'

const FRAMES = 4 * 48_000

const open = (layer: { id: number }): ReturnType<typeof takeInMemory> =>
  takeInMemory([
    whiteNoise(FRAMES, layer.id, 0.6).map((x, i) => x * (0.1 + 0.9 * Number(i % 48_000 < 20_000))),
  ])

const stages: StageSetup[] = (['de-ess', 'drive', 'opto', 'ceiling'] as const).map(
  (kind) => ({ kind, settings: defaultStages[kind].settings }) as StageSetup,
)

const plan: RenderPlan = planOf(FRAMES, {
  groups: [plannedGroup(1, { stages }), plannedGroup(2, { stages, gainDb: -3 })],
  layers: [
    plannedLayer(1, 1, FRAMES),
    plannedLayer(2, 2, FRAMES, { pan: -0.6 }),
    plannedLayer(3, 2, FRAMES, { pan: 0.6 }),
  ],
})
const bounced = renderPlan(plan, open)

const span = (
  engine: ReturnType<typeof createPlaybackEngine>,
  from: number,
  frames: number,
): Float32Array[] => {
  const planar = new Float32Array(frames * 4)
  engine.span(from, frames, planar)
  return [0, 1, 2, 3].map((c) => planar.subarray(c * frames, (c + 1) * frames))
}

function nullDb(heard: Float32Array, wanted: (i: number) => number): number {
  let greatest = 0
  for (let i = 0; i < heard.length; i++) greatest = Math.max(greatest, Math.abs(heard[i] - wanted(i)))
  return 20 * Math.log10(greatest)
}

const cases: readonly [string, Heard, (i: number) => number][] = [
  [
    'the stack',
    { kind: 'stack' },
    (i) => (bounced.groups.get(1)?.[0][i] ?? 0) + (bounced.groups.get(2)?.[0][i] ?? 0),
  ],
  ['a group', { kind: 'group', groupId: 2 }, (i) => bounced.groups.get(2)?.[0][i] ?? 0],
  ['a layer', { kind: 'layer', layerId: 3 }, (i) => bounced.layers.get(3)?.[0][i] ?? 0],
]

describe.each(cases)('%s', (_name, heard, wanted) => {
  it('played from the start equals the bounce within -90 dB', () => {
    const engine = createPlaybackEngine({ plan, heard, comparedWith: null }, open)
    for (let from = 0; from < 48_000; from += 2400) {
      expect(nullDb(span(engine, from, 2400)[2], (i) => wanted(from + i))).toBeLessThan(-90)
    }
  })

  it('jumped into after the scout has passed equals the bounce within -90 dB', () => {
    const engine = createPlaybackEngine({ plan, heard, comparedWith: null }, open)
    while (engine.scout());
    for (const from of [150_001, 60_000, 150_001, 10]) {
      expect(nullDb(span(engine, from, 4800)[2], (i) => wanted(from + i))).toBeLessThan(-90)
    }
  })
})

it('the dry side is the layers by themselves, aligned with the processed side', () => {
  const engine = createPlaybackEngine(
    { plan, heard: { kind: 'layer', layerId: 1 }, comparedWith: null },
    open,
  )
  const take = whiteNoise(FRAMES, 1, 0.6)
  expect(nullDb(span(engine, 1000, 2400)[0], (i) => take[1000 + i])).toBeLessThan(-140)
})

it('is silent outside the plan', () => {
  const engine = createPlaybackEngine({ plan, heard: { kind: 'stack' }, comparedWith: null }, open)
  const [, , left] = span(engine, FRAMES - 100, 400)
  expect(left.subarray(100).every((x) => x === 0)).toBe(true)
  expect(left.subarray(0, 100).some((x) => x !== 0)).toBe(true)
})

describe('a changed setting', () => {
  const louder: RenderPlan = {
    ...plan,
    groups: plan.groups.map((group) => ({ ...group, gainDb: group.gainDb - 6 })),
  }

  it('goes on from the states of the settings before', () => {
    const before = createPlaybackEngine({ plan, heard: { kind: 'stack' }, comparedWith: null }, open)
    for (let from = 0; from < 96_000; from += 4800) span(before, from, 4800)
    const after = createPlaybackEngine(
      { plan: louder, heard: { kind: 'stack' }, comparedWith: null },
      open,
      before.states(),
    )
    // Group gain comes after the chain, so the states are exactly those of the new settings too.
    const gain = 10 ** (-6 / 20)
    expect(nullDb(span(after, 90_000, 4800)[2], (i) => gain * cases[0][2](90_000 + i))).toBeLessThan(-90)
  })
})

describe('equal loudness', () => {
  it('a pure gain is matched within 0.02 dB, and only the louder side is lowered', () => {
    const quieter = planOf(FRAMES, {
      groups: [plannedGroup(1, { gainDb: -9 })],
      layers: [plannedLayer(1, 1, FRAMES)],
    })
    const engine = createPlaybackEngine(
      { plan: quieter, heard: { kind: 'group', groupId: 1 }, comparedWith: null },
      open,
    )
    while (engine.scout());
    const match = engine.match(0, FRAMES)
    expect(match?.dryDb).toBeCloseTo(-9, 2)
    expect(match?.processedDb).toBe(0)
    expect(match?.activeSeconds).toBeGreaterThan(1)
  })

  it('the change is as loud as both sides, or as its loudest 100 ms allow; of a pure gain there is none', () => {
    const of = (heard: RenderPlan, comparedWith: RenderPlan | null) => {
      const engine = createPlaybackEngine({ plan: heard, heard: { kind: 'stack' }, comparedWith }, open)
      while (engine.scout());
      return { engine, match: engine.match(0, FRAMES) }
    }
    const planWith = (setups: StageSetup[], gainDb = 0) =>
      planOf(FRAMES, {
        groups: [plannedGroup(1, { stages: setups, gainDb })],
        layers: [plannedLayer(1, 1, FRAMES)],
      })
    expect(of(planWith([], -9), null).match?.changeDb).toBeNull()

    const { engine, match } = of(planWith(stages), planWith([]))
    if (match === null || match.changeDb === null) throw new Error('nothing was matched')
    // By the signals themselves: K-weighted blocks of what is heard, played with the gains of the match.
    const heard = span(engine, 0, FRAMES)
    const [dryGain, wetGain] = [match.dryDb, match.processedDb].map((db) => 10 ** (db / 20))
    const blocksOf = (value: (c: number, i: number) => number) => {
      const powers = createBlockPowers({ sampleRateHz: 48_000, channels: 2 })
      powers.add(
        [0, 1].map((c) => Float64Array.from({ length: FRAMES }, (_, i) => value(c, i))),
        FRAMES,
      )
      return powers.powers()
    }
    const dry = blocksOf((c, i) => dryGain * heard[c][i])
    const change = blocksOf((c, i) => wetGain * heard[c + 2][i] - dryGain * heard[c][i])
    const active = activeBlocks(dry)
    const mean = (powers: Float64Array) => powers.reduce((sum, power, b) => sum + active[b] * power, 0)
    const meanDb = 10 * Math.log10(mean(dry) / mean(change))
    const loudestDb = 10 * Math.log10(Math.max(...dry) / Math.max(...change))
    expect(match.changeDb).toBeCloseTo(Math.min(24, meanDb, loudestDb), 2)
  })

  it('says nothing of what the scout has not heard', () => {
    expect(
      createPlaybackEngine({ plan, heard: { kind: 'stack' }, comparedWith: null }, open).match(0, FRAMES),
    ).toBeNull()
  })
})

describe('one stage against nothing but itself', () => {
  it('the dry side is the same take through the stages before it', () => {
    const before = planOf(FRAMES, {
      groups: [plannedGroup(1, { stages: stages.slice(0, 2) })],
      layers: [plannedLayer(1, 1, FRAMES)],
    })
    const after = { ...before, groups: [plannedGroup(1, { stages: stages.slice(0, 3) })] }
    const engine = createPlaybackEngine({ plan: after, heard: { kind: 'stack' }, comparedWith: before }, open)
    const [dry, , processed] = span(engine, 0, 48_000)
    const wanted = [before, after].map((one) => renderPlan(one, open).groups.get(1)?.[0] ?? [])
    expect(nullDb(dry, (i) => wanted[0][i])).toBeLessThan(-90)
    expect(nullDb(processed, (i) => wanted[1][i])).toBeLessThan(-90)
    expect(nullDb(processed, (i) => dry[i])).toBeGreaterThan(-40)
  })
})
