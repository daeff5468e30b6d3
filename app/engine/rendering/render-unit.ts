// A render unit: the groups that one running chain serves. With own chains each group is
// a unit and leads itself; with a shared chain all groups are one unit and the stack leads.
// Units are independent of each other, so they can run on different threads.

import type { PlannedGroup, PlannedLayer, RenderPlan, StageSetup } from '../../contract/render-plan.ts'
import { createChain } from '../../dsp/chain.ts'
import { gainFromDb } from '../../dsp/maths/decibels.ts'
import { mixIntoLane, type PannedSound } from '../../dsp/mix/mix-into-lane.ts'
import { BLOCK_FRAMES, type Channels, type Stage, type StageLayout } from '../../dsp/stage.ts'
import { addLane, centreDrop, clearLane, layerPanGains } from '../mixes/lane-mixer.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { feedOfLayer } from '../passages/feed-of-layer.ts'
import { trimCeiling } from './ceiling-trim.ts'

/** Groups that share one running chain. */
export interface UnitPlan {
  readonly groups: readonly PlannedGroup[]
  readonly layers: readonly PlannedLayer[]
}

/** The parts of a plan that can be rendered independently. Groups without layers have no unit. */
export function unitsOf(plan: RenderPlan): readonly UnitPlan[] {
  const groups = plan.groups.filter((group) => plan.layers.some((layer) => layer.groupId === group.id))
  if (groups.length === 0) return []
  if (plan.sharing === 'shared') return [{ groups, layers: plan.layers }]
  return groups.map((group) => ({
    groups: [group],
    layers: plan.layers.filter((layer) => layer.groupId === group.id),
  }))
}

/** The stages after the sum that a unit runs. */
export const stagesOfUnit = (plan: RenderPlan, unit: UnitPlan): readonly StageSetup[] =>
  plan.sharing === 'shared' ? plan.sharedStages : unit.groups[0].stages

/** A running unit. */
export interface RenderUnit {
  /** The unit's whole state, positions included: copy it for a checkpoint, copy it back to return there. */
  readonly memory: readonly Float64Array[]
  /** Stereo, one for each group of the unit, valid after `render`. */
  readonly groups: readonly Channels[]
  /**
   * One for each layer of the unit: through the chain, with gain and without pan, or as its part of the group's sum;
   * empty unless requested.
   */
  readonly layers: readonly Channels[]
  /** Greatest gain reduction of the chain in the last block. */
  readonly reductionDb: number
  /** Starts from silence, so that the next frame out is `frame`. */
  begin(frame: number): void
  /** The next frames of every output, aligned with the takes. At most BLOCK_FRAMES. */
  render(frames: number): void
}

/** Options of a unit. */
export interface UnitOptions {
  readonly layerStems: boolean
  /**
   * With `layerStems`: layers enter the chain panned, in stereo, and so add up to their groups also behind drive,
   * whose gain differs from side to side.
   */
  readonly pannedLayers?: boolean
  /** By how many dB the ceiling at the chain's end is lowered; 0 by default. */
  readonly ceilingTrimDb?: number
  /** Called with lane 0 after the chain, delayed by its latency, before the pan law's drop and any group's gain. */
  readonly afterChain?: (leader: Channels, frames: number) => void
  /**
   * Creates the chain after the sum; createChain by default. With a chain that exposes no memory,
   * checkpoints of the unit are not possible.
   */
  readonly makeChain?: (stages: readonly StageSetup[], layout: StageLayout) => Stage
}

/** The stack, the groups, then the layers, each by the lane of its group. */
const groupsOfLanes = (groups: number, groupOfLayer: readonly number[]): number[] => [
  0,
  ...Array.from({ length: groups }, (_, g) => g + 1),
  ...groupOfLayer.map((g) => g + 1),
]

/** @param openTake opens the take of a layer at the plan's rate; the caller closes it */
export function createRenderUnit(
  plan: RenderPlan,
  unit: UnitPlan,
  openTake: (layer: PlannedLayer) => TakeSource,
  options: UnitOptions,
): RenderUnit {
  const isShared = plan.sharing === 'shared'
  const stages = trimCeiling(stagesOfUnit(plan, unit), options.ceilingTrimDb ?? 0)
  const makeLane = (channels: number): Channels =>
    Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES))

  const feeds = unit.layers.map((layer) => feedOfLayer(layer, openTake, plan.sampleRateHz))
  const feedBlocks = feeds.map((feed) => makeLane(feed.channels))

  const leader = makeLane(2)
  // With its own chain a group is its own leader; with a shared chain the groups follow the stack.
  const groupLanes = isShared ? unit.groups.map(() => makeLane(2)) : [leader]
  const isPanned = options.layerStems && options.pannedLayers === true
  const layerLanes = isPanned ? feedBlocks.map(() => makeLane(2)) : options.layerStems ? feedBlocks : []
  const lanes: readonly Channels[] = [leader, ...(isShared ? groupLanes : []), ...layerLanes]
  const groupOfLayer = unit.layers.map((layer) =>
    unit.groups.findIndex((group) => group.id === layer.groupId),
  )
  // Without a chain nothing depends on the level, and the layers need not be scaled twice.
  const drop = stages.length === 0 ? 1 : centreDrop(unit.layers, plan.panLaw)
  const layerSounds = unit.layers.map((layer, k): PannedSound => {
    const [leftGain, rightGain] = layerPanGains(layer, plan.panLaw)
    return { channels: feedBlocks[k], leftGain: leftGain / drop, rightGain: rightGain / drop }
  })
  const groupSounds = unit.groups.map((_, g) => layerSounds.filter((_sound, k) => groupOfLayer[k] === g))
  const alone = layerSounds.map((sound) => [sound])
  const groupGains = unit.groups.map((group) => (group.gainDb === 0 ? 1 : gainFromDb(group.gainDb)))

  const chain = (options.makeChain ?? createChain)(stages, {
    sampleRateHz: plan.sampleRateHz,
    laneChannels: lanes.map((lane) => lane.length),
    ...(isShared && unit.groups.length > 0
      ? { groupOfLane: groupsOfLanes(unit.groups.length, options.layerStems ? groupOfLayer : []) }
      : {}),
  })

  const advance = (frames: number): void => {
    for (let k = 0; k < feeds.length; k++) feeds[k].fill(frames, feedBlocks[k])
    for (let g = 0; g < groupLanes.length; g++) mixIntoLane(groupSounds[g], groupLanes[g], frames)
    if (isPanned) for (let k = 0; k < feeds.length; k++) mixIntoLane(alone[k], layerLanes[k], frames)
    if (isShared) {
      clearLane(leader, frames)
      for (const lane of groupLanes) addLane(lane, leader, frames)
    }
    chain.process(lanes, frames)
    options.afterChain?.(leader, frames)
  }

  const applyGain = (lane: Channels, gain: number, frames: number): void => {
    if (gain === 1) return
    for (const channel of lane) for (let i = 0; i < frames; i++) channel[i] = channel[i] * gain
  }

  return {
    memory: [...feeds.flatMap((feed) => feed.memory), ...chain.memory],
    groups: groupLanes,
    layers: layerLanes,
    get reductionDb() {
      return chain.reductionDb
    },
    begin(frame) {
      for (const feed of feeds) feed.begin(frame)
      // Runs the chain's latency first and drops it, which aligns the output with the takes.
      for (let left = chain.latencySamples; left > 0; left -= BLOCK_FRAMES)
        advance(Math.min(left, BLOCK_FRAMES))
    },
    render(frames) {
      advance(frames)
      for (let g = 0; g < groupLanes.length; g++) applyGain(groupLanes[g], groupGains[g] * drop, frames)
      for (let k = 0; k < layerLanes.length; k++)
        applyGain(layerLanes[k], groupGains[groupOfLayer[k]] * (isPanned ? drop : 1), frames)
    },
  }
}
