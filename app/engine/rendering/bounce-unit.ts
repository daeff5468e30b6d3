// Renders one unit of a plan into stem files, block by block.

import { channelsOfLayer } from '../../contract/passages/layer-takes.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { Channels } from '../../dsp/stage.ts'
import { createSplitChain, type SplitChain, type StartHelper } from '../chain/split-chain.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createCeilingCheck } from './ceiling-trim.ts'
import { createRenderUnit, stagesOfUnit, type UnitPlan } from './render-unit.ts'
import {
  createStemOutput,
  type FileOrder,
  type FileSpan,
  renderOutputs,
  type StemOutput,
  spanOf,
  type WrittenStem,
} from './stem-output.ts'

/** Cost in ns per frame of reading and mixing a layer's channel, and of writing and metering a stem's. */
const READ_NS = 2.5
const WRITE_NS = 10

/** One stem to write. */
export interface StemOrder extends FileOrder {
  readonly kind: 'group' | 'layer'
  readonly sourceId: number
}

/** All stems of a unit. */
export interface WrittenUnit {
  readonly stems: readonly WrittenStem[]
  /**
   * By how many dB the ceiling has to be lowered for inter-sample peaks to keep to its setting too;
   * 0 where they do, and where the trim was given.
   */
  readonly wantedTrimDb: number
}

/**
 * Writes every ordered stem of one unit into an unfinished folder (createNewFolder). A stem whose samples
 * clip in its integer format is not kept; its `clippedSamples` lets the caller order it as float instead.
 * @param ceilingTrimDb by how much the ceiling is lowered; null leaves it and measures whether it should be
 * @param onBlock called with the fraction done; throws to stop, and nothing is left behind
 * @param startHelper starts a second thread for the chain; null uses this thread only
 * @param span what of the plan the stems hold, and their rate; all of it at its own rate by default
 */
export function bounceUnit(
  plan: RenderPlan,
  unit: UnitPlan,
  stems: readonly StemOrder[],
  ceilingTrimDb: number | null,
  openTake: (layer: PlannedLayer) => TakeSource,
  onBlock: (fraction: number) => void,
  startHelper: StartHelper | null = null,
  span: FileSpan = spanOf(plan),
): WrittenUnit {
  const stages = stagesOfUnit(plan, unit)
  const check = ceilingTrimDb === null ? createCeilingCheck(stages, 2) : null
  const outputs: StemOutput[] = []
  let chain: SplitChain | null = null
  try {
    const running = createRenderUnit(plan, unit, openTake, {
      layerStems: stems.some((stem) => stem.kind === 'layer'),
      ceilingTrimDb: ceilingTrimDb ?? 0,
      afterChain: (leader, frames) => check?.add(leader, frames),
      makeChain: (setups, layout) => {
        chain = createSplitChain(setups, layout, {
          besideNs: besideNs(unit, stems),
          startHelper,
          measured: null,
        })
        return { ...chain, memory: [], reductionDb: 0 }
      },
    })
    for (const order of stems) {
      const lane = laneOf(running, unit, order)
      outputs.push(createStemOutput(order, lane, plan.sampleRateHz, plan.startFrame, span))
    }
    running.begin(plan.startFrame)
    // The ceiling of a part of the song is that of the whole, so that both have the same samples.
    const toFrame = check === null ? plan.startFrame : plan.startFrame + plan.frames
    renderOutputs(outputs, plan.startFrame, span, toFrame, (frames) => running.render(frames), onBlock)
    return { stems: outputs.map((output) => output.close()), wantedTrimDb: check?.trimDb() ?? 0 }
  } catch (error) {
    for (const output of outputs) output.abort()
    throw error
  } finally {
    closeChain(chain)
  }
}

// A function, because the compiler does not see that the callback above assigns `chain`.
const closeChain = (chain: SplitChain | null): void => chain?.close()

/** Approximate cost of the work outside the chain, ns per frame: reading, mixing, writing, metering. */
function besideNs(unit: UnitPlan, stems: readonly StemOrder[]): number {
  const read = unit.layers.reduce((sum, layer) => sum + READ_NS * channelsOfLayer(layer), 0)
  return stems.reduce((sum, stem) => sum + WRITE_NS * (stem.kind === 'group' ? 2 : 1), read)
}

function laneOf(running: ReturnType<typeof createRenderUnit>, unit: UnitPlan, order: StemOrder): Channels {
  return order.kind === 'group'
    ? running.groups[unit.groups.findIndex((group) => group.id === order.sourceId)]
    : running.layers[unit.layers.findIndex((layer) => layer.id === order.sourceId)]
}
