// A stack measured by two threads, of which one passes its groups on, against one that has all of them.

import { expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { RenderPlan, StageSetup } from '../../../app/contract/render-plan.ts'
import { measureStack, passStack } from '../../../app/engine/measuring/measure-stack.ts'
import { createPassedSound } from '../../../app/engine/measuring/passed-sound.ts'
import { splitStack } from '../../../app/engine/measuring/split-stack.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { plannedGroup, plannedLayer, planOf, takeInMemory } from '../../signals/takes.ts'

const FRAMES = 4 * 48_000 + 77
const open = ({ id }: { id: number }) => takeInMemory([whiteNoise(FRAMES, id, 0.4)])

const stages: StageSetup[] = (['de-ess', 'opto', 'ceiling'] as const).map(
  (kind) => ({ kind, settings: defaultStages[kind].settings }) as StageSetup,
)
const plan: RenderPlan = planOf(FRAMES, {
  groups: [plannedGroup(1, { stages }), plannedGroup(2, { stages, gainDb: -3 }), plannedGroup(3, {})],
  layers: [
    plannedLayer(1, 1, FRAMES),
    plannedLayer(2, 2, FRAMES, { pan: -0.6 }),
    plannedLayer(3, 2, FRAMES, { pan: 0.6 }),
    plannedLayer(4, 3, FRAMES, { pan: 0.2 }),
  ],
})

it('gives the same figures from two threads as from one', () => {
  const whole = measureStack(plan, plan.startFrame, open, null, () => {})
  const { passed: passedPlan, measured } = splitStack(plan)!
  expect([...passedPlan.layers, ...measured.layers].map(({ id }) => id).sort()).toEqual([1, 2, 3, 4])
  expect(passedPlan.layers.length * measured.layers.length).toBeGreaterThan(0)
  // It has room for the whole song, so the two may also run one after the other.
  const passed = createPassedSound(2, plan.frames, 48_000)!
  passStack(passedPlan, open, passed, () => {})
  const split = measureStack(measured, plan.startFrame, open, passed, () => {})
  const figures = ({ mono, ...levels }: typeof whole): number[] => [
    ...Object.values(levels).map(Number),
    ...[mono.lossDb, mono.correlationP5, mono.opposedPercent].map(Number),
    ...mono.bands.map(({ lossDb }) => lossDb),
  ]
  expect(figures(split)).toHaveLength(figures(whole).length)
  for (const [k, figure] of figures(whole).entries()) expect(figures(split)[k]).toBeCloseTo(figure, 8)
})

it('leaves a stack to one thread where all groups share a chain, or there is one group', () => {
  expect(splitStack({ ...plan, sharing: 'shared' })).toBeNull()
  expect(splitStack({ ...plan, layers: plan.layers.filter(({ groupId }) => groupId === 2) })).toBeNull()
})
