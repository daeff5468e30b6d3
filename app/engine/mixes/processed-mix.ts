// Mixes what is heard of a plan through its chains: the stack, one group, or one layer.

import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { createRenderUnit, unitsOf } from '../rendering/render-unit.ts'
import { addPanned, clearLane } from './lane-mixer.ts'
import type { Programme } from './programme.ts'
import type { TakeSource } from './take-source.ts'

/** Which part of a plan is audible. */
export type Heard =
  | { readonly kind: 'stack' }
  | { readonly kind: 'group'; readonly groupId: number }
  | { readonly kind: 'layer'; readonly layerId: number }

/** The layers that are heard. */
export function heardLayers(plan: RenderPlan, heard: Heard): readonly PlannedLayer[] {
  switch (heard.kind) {
    case 'stack':
      return plan.layers
    case 'group':
      return plan.layers.filter((layer) => layer.groupId === heard.groupId)
    case 'layer':
      return plan.layers.filter((layer) => layer.id === heard.layerId)
  }
}

/** Runs only the units that are needed; with a shared chain that is the one unit with all groups. */
export function createProcessedMix(
  plan: RenderPlan,
  heard: Heard,
  open: (layer: PlannedLayer) => TakeSource,
): Programme {
  const layers = heardLayers(plan, heard)
  const isHeardGroup = (group: { id: number }): boolean => layers.some((layer) => layer.groupId === group.id)
  const unitPlans = unitsOf(plan).filter((unit) => unit.groups.some(isHeardGroup))
  const units = unitPlans.map((unit) =>
    createRenderUnit(plan, unit, open, { layerStems: heard.kind === 'layer' }),
  )
  // A layer sounds like its stem: with gain and without pan, so a mono layer stays mono.
  const outputs = units.flatMap((unit, u) =>
    heard.kind === 'layer'
      ? unit.layers.filter((_, k) => layers.includes(unitPlans[u].layers[k]))
      : unit.groups.filter((_, g) => isHeardGroup(unitPlans[u].groups[g])),
  )
  const sum: Channels = [new Float64Array(BLOCK_FRAMES), new Float64Array(BLOCK_FRAMES)]
  return {
    memory: units.flatMap((unit) => unit.memory),
    sum,
    begin(frame) {
      for (const unit of units) unit.begin(frame)
    },
    render(frames) {
      for (const unit of units) unit.render(frames)
      clearLane(sum, frames)
      for (const output of outputs) addPanned(output, [1, 1], sum, frames)
    },
  }
}
