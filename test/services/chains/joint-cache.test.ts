// The joint before the stage that is being worked on is kept, and used again.

import { join } from 'node:path'
import { expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { createJointCache } from '../../../app/services/chains/joint-cache.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { context, openWorkshop, writeTake } from '../workshop.ts'

const stages = (...names: string[]) =>
  names.map((name) => ({ kind: name, on: true, setup: null, remark: null }))
const joint = (beforeStage: number, floats = 10) => ({
  beforeStage,
  signal: [new Float32Array(floats)],
  active: new Uint8Array(1),
  loud: new Uint8Array(1),
  joints: [],
  stages: [],
})

it('keeps nothing at first, the joint before the changed stage next, and starts from it then', () => {
  const cache = createJointCache()
  expect(cache.plan('take', stages('a', 'b', 'c'), 40)).toEqual({ from: null, keepBeforeStage: null })
  expect(cache.plan('take', stages('a', 'b2', 'c'), 40)).toEqual({ from: null, keepBeforeStage: 1 })
  const kept = joint(1)
  cache.keep('take', stages('a', 'b2', 'c'), kept)
  expect(cache.plan('take', stages('a', 'b3', 'c'), 40)).toEqual({ from: kept, keepBeforeStage: null })
  // Work moves on to a stage behind: from the kept joint, keeping the next one on the way.
  expect(cache.plan('take', stages('a', 'b3', 'c2'), 40)).toEqual({ from: kept, keepBeforeStage: 2 })
})

it('forgets where a stage before the joint changes, and for another take', () => {
  const cache = createJointCache()
  cache.plan('take', stages('a', 'b'), 40)
  cache.keep('take', stages('a', 'b'), joint(1))
  expect(cache.plan('take', stages('a2', 'b'), 40).from).toBeNull()
  expect(cache.plan('other', stages('a', 'b'), 40).from).toBeNull()
})

it('lets go of the oldest sound beyond 256 MB', () => {
  const cache = createJointCache()
  for (const name of ['a', 'b', 'c']) cache.keep('take', stages(name, 'x'), joint(1, 30_000_000))
  expect(cache.plan('take', stages('a', 'x'), 40).from).toBeNull()
  expect(cache.plan('take', stages('c', 'x'), 40).from).not.toBeNull()
})

it('a chain that is worked on measures the same as one that is measured from the take', async () => {
  const shop = openWorkshop()
  const session = await shop.createSession()
  const [take] = await shop.takeIn(
    session,
    writeTake(join(shop.folder, 'a.wav'), [whiteNoise(96_000, 1, 0.5)]),
  )
  const chain = (thresholdDbfs: number): ChainStages => [
    defaultStages['low-cut'],
    defaultStages.drive,
    { ...defaultStages.opto, settings: { ...defaultStages.opto.settings, thresholdDbfs } },
    defaultStages.ceiling,
  ]
  const measure = (thresholdDbfs: number) =>
    shop.handlers.measureChain({ takeId: take.id, stages: chain(thresholdDbfs) }, context)
  for (const thresholdDbfs of [-20, -24, -28]) await measure(thresholdDbfs)
  const worked = await measure(-32)
  const fresh = openWorkshop()
  const freshSession = await fresh.createSession()
  const [same] = await fresh.takeIn(freshSession, join(shop.folder, 'a.wav'))
  const whole = await fresh.handlers.measureChain({ takeId: same.id, stages: chain(-32) }, context)
  for (const [k, one] of whole.joints.entries()) {
    expect(worked.joints[k].levelDbfs).toBeCloseTo(one.levelDbfs ?? 0, 4)
  }
  expect(worked.stages[2].maxReductionDb).toBeCloseTo(whole.stages[2].maxReductionDb ?? 0, 3)
})
