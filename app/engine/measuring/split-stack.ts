// Splits the groups of a stack over two threads, which is possible where each has a chain of its own. One thread
// passes its sum on to the other (passed-sound.ts), which measures both.

import type { PlannedGroup, RenderPlan, StageSetup } from '../../contract/render-plan.ts'
import { STAGE_COSTS } from './split-stages.ts'

/** As the costs of stages: reading a layer. */
const READ_COST = 10
/** A group's stages have two channels, which costs less than twice as much. */
const STEREO_COST = 1.6

/** Plans of the groups that are passed on, and of those that are measured with them; null where one thread has to. */
export function splitStack(plan: RenderPlan): { passed: RenderPlan; measured: RenderPlan } | null {
  if (plan.sharing === 'shared') return null
  const sum = (stages: readonly StageSetup[]): number =>
    stages.reduce((total, { kind }) => total + STAGE_COSTS[kind], 0)
  const costOf = (group: PlannedGroup): number =>
    plan.layers
      .filter(({ groupId }) => groupId === group.id)
      .reduce((total, layer) => total + READ_COST + sum(layer.stages), STEREO_COST * sum(group.stages))
  const used = plan.groups.filter(({ id }) => plan.layers.some(({ groupId }) => groupId === id))
  if (used.length < 2) return null
  // The costliest first, each to the thread that has less; the passing thread has no meters and begins first.
  const passed = new Set<number>()
  let difference = 0
  for (const group of used.toSorted((a, b) => costOf(b) - costOf(a))) {
    if (difference <= 0) passed.add(group.id)
    difference += difference <= 0 ? costOf(group) : -costOf(group)
  }
  const planOf = (isPassed: boolean): RenderPlan => ({
    ...plan,
    groups: plan.groups.filter(({ id }) => passed.has(id) === isPassed),
    layers: plan.layers.filter(({ groupId }) => passed.has(groupId) === isPassed),
  })
  return { passed: planOf(true), measured: planOf(false) }
}
