// Renders whole plans for the tests of the engine, in blocks of chosen sizes.

import type { PlannedLayer, RenderPlan } from '../../app/contract/render-plan.ts'
import type { Channels } from '../../app/dsp/stage.ts'
import type { TakeSource } from '../../app/engine/mixes/take-source.ts'
import { createRenderUnit, unitsOf } from '../../app/engine/rendering/render-unit.ts'

export interface Rendered {
  /** By group id, stereo. */
  readonly groups: Map<number, Float64Array[]>
  /** By layer id. */
  readonly layers: Map<number, Float64Array[]>
}

export function renderPlan(
  plan: RenderPlan,
  openTake: (layer: PlannedLayer) => TakeSource,
  blockSizes: readonly number[] = [1024],
): Rendered {
  const groups = new Map<number, Float64Array[]>()
  const layers = new Map<number, Float64Array[]>()
  for (const unitPlan of unitsOf(plan)) {
    const unit = createRenderUnit(plan, unitPlan, openTake, { layerStems: true })
    const keep = (
      out: Map<number, Float64Array[]>,
      id: number,
      lane: Channels,
      at: number,
      frames: number,
    ): void => {
      const kept = out.get(id) ?? lane.map(() => new Float64Array(plan.frames))
      out.set(id, kept)
      for (const [c, channel] of lane.entries()) kept[c].set(channel.subarray(0, frames), at)
    }
    unit.begin(plan.startFrame)
    for (let at = 0, n = 0; at < plan.frames; n++) {
      const frames = Math.min(blockSizes[n % blockSizes.length], plan.frames - at)
      unit.render(frames)
      for (const [g, group] of unitPlan.groups.entries()) keep(groups, group.id, unit.groups[g], at, frames)
      for (const [k, layer] of unitPlan.layers.entries()) keep(layers, layer.id, unit.layers[k], at, frames)
      at += frames
    }
  }
  return { groups, layers }
}

/** Greatest difference in dB relative to full scale; -Infinity when equal. */
export function nullDepthDb(a: Float64Array, b: Float64Array): number {
  let greatest = 0
  for (let i = 0; i < a.length; i++) greatest = Math.max(greatest, Math.abs(a[i] - b[i]))
  return 20 * Math.log10(greatest)
}
