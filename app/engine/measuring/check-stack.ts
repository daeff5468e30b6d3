// Renders the layers of a stack as a bounce does, and checks what they add up to.

import { channelsOfLayer } from '../../contract/passages/layer-takes.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { KnownCopy } from '../../dsp/stack/combing.ts'
import { type CheckedStack, createStackCheck } from '../../dsp/stack/stack-check.ts'
import type { FrameSpan, StackLayer } from '../../dsp/stack/stack-layers.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { createSplitChain, type SplitChain, type StartHelper } from '../chain/split-chain.ts'
import { layerPanGains } from '../mixes/lane-mixer.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createRenderUnit, stagesOfUnit, type UnitPlan, unitsOf } from '../rendering/render-unit.ts'

/** What of the plan is checked, in frames of the session. */
export interface CheckedFrames {
  readonly fromFrame: number
  readonly toFrame: number
  /** Phrases of the lead within it, in order and not overlapping. */
  readonly phrases: readonly FrameSpan[]
}

/** How much of the time the rendering takes; comparing the layers takes the rest. */
const RENDERED = 0.9
/** About what a channel costs in ns per frame, as the costs of stages in chain-share.ts: to check it, and behind a whole chain. */
const CHECK_NS = 25
const CHAIN_NS = 35

/**
 * Renders from the start of the plan, so that every stage has the state that it has in a bounce, and checks the range.
 * @param onProgress receives the fraction done; throws to stop
 * @param startHelper starts a second thread for the chain of the unit with most layers; null uses this thread only
 * @returns null where nothing is heard in the range
 */
export function checkStack(
  plan: RenderPlan,
  range: CheckedFrames,
  openTake: (layer: PlannedLayer) => TakeSource,
  onProgress: (fraction: number) => void,
  startHelper: StartHelper | null = null,
): CheckedStack | null {
  const chains: SplitChain[] = []
  try {
    return checkUnits(plan, range, openTake, onProgress, startHelper, chains)
  } finally {
    for (const chain of chains) chain.close()
  }
}

/** @param chains receives the chains that have to be closed */
function checkUnits(
  plan: RenderPlan,
  range: CheckedFrames,
  openTake: (layer: PlannedLayer) => TakeSource,
  onProgress: (fraction: number) => void,
  startHelper: StartHelper | null,
  chains: SplitChain[],
): CheckedStack | null {
  const all = unitsOf(plan)
  const costliest = all.reduce<UnitPlan | null>(
    (most, unit) => (most === null || unit.layers.length > most.layers.length ? unit : most),
    null,
  )
  const units = all.map((unit) => {
    const pannedLayers = stagesOfUnit(plan, unit).some(({ kind }) => kind === 'drive')
    return {
      unit,
      pannedLayers,
      running: createRenderUnit(plan, unit, openTake, {
        layerStems: true,
        pannedLayers,
        makeChain: (setups, layout) => {
          const chain = createSplitChain(setups, layout, {
            besideNs:
              2 * (CHECK_NS * plan.layers.length + CHAIN_NS * (plan.layers.length - unit.layers.length)),
            startHelper: unit === costliest ? startHelper : null,
            measured: null,
          })
          chains.push(chain)
          return { ...chain, memory: [], reductionDb: 0 }
        },
      }),
    }
  })
  const planned = units.flatMap(({ unit }) => unit.layers)
  const lanes: readonly Channels[] = units.flatMap(({ running }) => running.layers)
  const check = createStackCheck({
    sampleRateHz: plan.sampleRateHz,
    layers: units.flatMap(({ unit, pannedLayers }) =>
      unit.layers.map((layer) => heardAs(layer, plan, pannedLayers)),
    ),
    spans: range.phrases.map(({ from, to }) => ({ from: from - range.fromFrame, to: to - range.fromFrame })),
    known: copiesByPlace(planned),
    startS: range.fromFrame / plan.sampleRateHz,
  })
  for (const { running } of units) running.begin(plan.startFrame)
  for (let at = plan.startFrame; at < range.toFrame; ) {
    const next = at < range.fromFrame ? range.fromFrame : range.toFrame
    const frames = Math.min(BLOCK_FRAMES, next - at)
    for (const { running } of units) running.render(frames)
    if (at >= range.fromFrame) check.add(lanes, frames)
    at += frames
    onProgress((RENDERED * (at - plan.startFrame)) / (range.toFrame - plan.startFrame))
  }
  if (check.isSilent()) return null
  return check.finish((fraction) => onProgress(RENDERED + (1 - RENDERED) * fraction))
}

/** The gains with which a lane of the unit is part of the stack. */
function heardAs(layer: PlannedLayer, plan: RenderPlan, isPanned: boolean): StackLayer {
  const [left, right] = isPanned ? [1, 1] : layerPanGains(layer, plan.panLaw)
  const isMono = channelsOfLayer(layer) === 1 && !isPanned
  return {
    id: layer.id,
    isLead: layer.role === 'lead',
    channels: isMono
      ? [{ left, right }]
      : [
          { left, right: 0 },
          { left: 0, right },
        ],
  }
}

const hasPassages = ({ passages }: PlannedLayer): boolean => passages !== undefined

/** Layers of one whole take: the delay between them is that of their places, at the session's rate. */
function copiesByPlace(layers: readonly PlannedLayer[]): KnownCopy[] {
  return layers.flatMap((one, k) =>
    layers
      .slice(k + 1)
      .flatMap((other, i) =>
        one.take.sha256 === other.take.sha256 && !hasPassages(one) && !hasPassages(other)
          ? [{ layer: k + 1 + i, other: k, lagFrames: other.offsetSamples - one.offsetSamples }]
          : [],
      ),
  )
}
