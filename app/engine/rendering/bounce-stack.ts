// Writes the whole stack, as it is heard, as one stereo file. All units run on one thread, beside one another.

import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { addLane, clearLane } from '../mixes/lane-mixer.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createCeilingCheck } from './ceiling-trim.ts'
import { createRenderUnit, stagesOfUnit, unitsOf } from './render-unit.ts'
import {
  createStemOutput,
  type FileOrder,
  type FileSpan,
  renderOutputs,
  type WrittenStem,
} from './stem-output.ts'

/** The stack as it was written. */
export interface WrittenStack {
  readonly stem: WrittenStem
  /** Of each unit, as WrittenUnit.wantedTrimDb. */
  readonly wantedTrimsDb: readonly number[]
}

/**
 * Writes the sum of all groups, with their gains and nothing else: no limiter, and no gain of its own.
 * @param ceilingTrimsDb of each unit, as in bounceUnit
 * @param onBlock called with the fraction done; throws to stop, and nothing is left behind
 */
export function bounceStack(
  plan: RenderPlan,
  order: FileOrder,
  ceilingTrimsDb: readonly (number | null)[],
  openTake: (layer: PlannedLayer) => TakeSource,
  onBlock: (fraction: number) => void,
  span: FileSpan,
): WrittenStack {
  const units = unitsOf(plan).map((unit, k) => {
    const trimDb = ceilingTrimsDb[k] ?? null
    const check = trimDb === null ? createCeilingCheck(stagesOfUnit(plan, unit), 2) : null
    const running = createRenderUnit(plan, unit, openTake, {
      layerStems: false,
      ceilingTrimDb: trimDb ?? 0,
      afterChain: (leader, frames) => check?.add(leader, frames),
    })
    return { running, check }
  })
  const sum: Channels = [new Float64Array(BLOCK_FRAMES), new Float64Array(BLOCK_FRAMES)]
  const render = (frames: number): void => {
    clearLane(sum, frames)
    for (const { running } of units) {
      running.render(frames)
      for (const group of running.groups) addLane(group, sum, frames)
    }
  }
  const output = createStemOutput(order, sum, plan.sampleRateHz, plan.startFrame, span)
  try {
    for (const { running } of units) running.begin(plan.startFrame)
    const isChecked = units.some(({ check }) => check !== null)
    const toFrame = isChecked ? plan.startFrame + plan.frames : plan.startFrame
    renderOutputs([output], plan.startFrame, span, toFrame, render, onBlock)
    return { stem: output.close(), wantedTrimsDb: units.map(({ check }) => check?.trimDb() ?? 0) }
  } catch (error) {
    output.abort()
    throw error
  }
}
