// Renders one unit of a plan into stem files, block by block.

import type { BroadcastInfo } from '../../audio/wave/broadcast.ts'
import { createWaveWriter, type WaveWriter } from '../../audio/wave/wave-writer.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { StemEncoding } from '../../contract/wire/commands.ts'
import { createStemMeter, type StemMeter } from '../../dsp/meters/stem-meter.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { createFileInside } from '../../files/new-file.ts'
import { createSplitChain, type SplitChain, type StartHelper } from '../chain/split-chain.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createCeilingCheck } from './ceiling-trim.ts'
import { createRenderUnit, stagesOfUnit, type UnitPlan } from './render-unit.ts'

/** Cost in ns per frame of reading and mixing a layer's channel, and of writing and metering a stem's. */
const READ_NS = 2.5
const WRITE_NS = 10

/** One stem to write. */
export interface StemOrder {
  readonly kind: 'group' | 'layer'
  readonly sourceId: number
  readonly path: string
  readonly encoding: StemEncoding
  readonly ditherSeed: number | null
  readonly broadcast: BroadcastInfo
}

/** One stem as it was written. */
interface WrittenStem {
  readonly path: string
  readonly channels: number
  readonly integratedLufs: number | null
  readonly loudnessRangeLu: number | null
  readonly truePeakDbtp: number | null
  readonly samplePeakDbfs: number | null
  /** Samples that clipped in the integer format; if there are any, the file was not kept. */
  readonly clippedSamples: number
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
 */
export function bounceUnit(
  plan: RenderPlan,
  unit: UnitPlan,
  stems: readonly StemOrder[],
  ceilingTrimDb: number | null,
  openTake: (layer: PlannedLayer) => TakeSource,
  onBlock: (fraction: number) => void,
  startHelper: StartHelper | null = null,
): WrittenUnit {
  const stages = stagesOfUnit(plan, unit)
  const check = ceilingTrimDb === null ? createCeilingCheck(stages, 2) : null
  const outputs: Output[] = []
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
    for (const order of stems)
      outputs.push(openOutput(order, outputOf(running, unit, order), plan.sampleRateHz))
    running.begin(plan.startFrame)
    for (let done = 0; done < plan.frames; ) {
      const frames = Math.min(BLOCK_FRAMES, plan.frames - done)
      running.render(frames)
      for (const output of outputs) {
        output.writer.write(output.lane, frames)
        output.meter.add(output.lane, frames)
      }
      done += frames
      onBlock(done / plan.frames)
    }
    return { stems: outputs.map(closeOutput), wantedTrimDb: check?.trimDb() ?? 0 }
  } catch (error) {
    for (const output of outputs) output.writer.abort()
    throw error
  } finally {
    closeChain(chain)
  }
}

// A function, because the compiler does not see that the callback above assigns `chain`.
const closeChain = (chain: SplitChain | null): void => chain?.close()

/** Approximate cost of the work outside the chain, ns per frame: reading, mixing, writing, metering. */
function besideNs(unit: UnitPlan, stems: readonly StemOrder[]): number {
  const read = unit.layers.reduce((sum, layer) => sum + READ_NS * layer.take.channels, 0)
  return stems.reduce((sum, stem) => sum + WRITE_NS * (stem.kind === 'group' ? 2 : 1), read)
}

interface Output {
  readonly order: StemOrder
  readonly lane: Channels
  readonly writer: WaveWriter
  readonly meter: StemMeter
}

function outputOf(running: ReturnType<typeof createRenderUnit>, unit: UnitPlan, order: StemOrder): Channels {
  return order.kind === 'group'
    ? running.groups[unit.groups.findIndex((group) => group.id === order.sourceId)]
    : running.layers[unit.layers.findIndex((layer) => layer.id === order.sourceId)]
}

function openOutput(order: StemOrder, lane: Channels, sampleRateHz: number): Output {
  const { path, encoding, ditherSeed, broadcast } = order
  return {
    order,
    lane,
    writer: createWaveWriter(
      path,
      { sampleRateHz, channels: lane.length, encoding, ditherSeed, broadcast },
      createFileInside,
    ),
    meter: createStemMeter({ sampleRateHz, channels: lane.length }),
  }
}

function closeOutput({ order, lane, writer, meter }: Output): WrittenStem {
  const facts = meter.facts()
  const clippedSamples = writer.clippedSamples
  if (clippedSamples > 0) writer.abort()
  else writer.finish({ ...facts, maxTruePeakDbtp: facts.truePeakDbtp })
  return {
    path: order.path,
    channels: lane.length,
    integratedLufs: facts.integratedLufs,
    loudnessRangeLu: facts.loudnessRangeLu,
    truePeakDbtp: facts.truePeakDbtp,
    samplePeakDbfs: facts.samplePeakDbfs,
    clippedSamples,
  }
}
