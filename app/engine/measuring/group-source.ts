// What a group's chain gets in its session, as one sound: the layers behind their own stages, with gain, offset and pan, at
// the reference level. The joints of the chain are measured on it as on a take.

import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { Channels, Stage } from '../../dsp/stage.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createRenderUnit, unitsOf } from '../rendering/render-unit.ts'

/** A unit without a chain is not at the reference level; this one has a stage that is not run. */
const STAND_IN: RenderPlan['groups'][number]['stages'] = [
  { kind: 'trim', settings: { gainDb: 0, invertPolarity: false } },
]

const PASSES: Stage = { latencySamples: 0, memory: [], reductionDb: 0, process: () => {} }

/** One channel where both sides are the same, so that the figures are those of such a take. */
export const channelsOfGroup = (layers: readonly PlannedLayer[]): 1 | 2 =>
  layers.every(({ take, pan }) => take.channels === 1 && pan === 0) ? 1 : 2

/**
 * Its frame 0 is the first of the plan, and it is as long as the plan. It can be read forwards only, block by block.
 * @param plan of a session whose groups have chains of their own
 * @param openTake as createRenderUnit
 */
export function createGroupSource(
  plan: RenderPlan,
  groupId: number,
  openTake: (layer: PlannedLayer) => TakeSource,
): TakeSource {
  const withStage = {
    ...plan,
    groups: plan.groups.map((group) => ({ ...group, stages: STAND_IN })),
  }
  const unit = unitsOf(withStage).find(({ groups }) => groups.some(({ id }) => id === groupId))
  if (unit === undefined) throw new Error(`group ${groupId} has no layers in the plan`)
  const channels = channelsOfGroup(unit.layers)
  let into: Channels = []
  const running = createRenderUnit(withStage, unit, openTake, {
    layerStems: false,
    makeChain: () => PASSES,
    // Before the pan law's drop and the group's gain, which come behind the chain.
    afterChain(leader, frames) {
      for (const [c, channel] of into.entries()) channel.set(leader[c].subarray(0, frames))
    },
  })
  let next = -1
  return {
    channels,
    frames: plan.frames,
    read(startFrame, frames, block) {
      if (startFrame === 0) {
        into = []
        running.begin(plan.startFrame)
        next = 0
      }
      if (startFrame !== next) throw new Error(`a group is read in order, not from ${startFrame}`)
      into = block
      running.render(frames)
      next += frames
    },
    close: () => {},
  }
}
