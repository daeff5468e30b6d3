// Renders the layers of a stack as a bounce does, and checks what they add up to.

import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import type { KnownCopy } from '../../dsp/stack/combing.ts'
import { type CheckedStack, createStackCheck } from '../../dsp/stack/stack-check.ts'
import type { FrameSpan, StackLayer } from '../../dsp/stack/stack-layers.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'
import { layerPanGains } from '../mixes/lane-mixer.ts'
import type { TakeSource } from '../mixes/take-source.ts'
import { createRenderUnit, stagesOfUnit, unitsOf } from '../rendering/render-unit.ts'

/** What of the plan is checked, in frames of the session. */
export interface CheckedFrames {
  readonly fromFrame: number
  readonly toFrame: number
  /** Phrases of the lead within it, in order and not overlapping. */
  readonly phrases: readonly FrameSpan[]
}

/** How much of the time the rendering takes; comparing the layers takes the rest. */
const RENDERED = 0.9

/**
 * Renders from the start of the plan, so that every stage has the state that it has in a bounce, and checks the range.
 * @param onProgress receives the fraction done; throws to stop
 * @returns null where nothing is heard in the range
 */
export function checkStack(
  plan: RenderPlan,
  range: CheckedFrames,
  openTake: (layer: PlannedLayer) => TakeSource,
  onProgress: (fraction: number) => void,
): CheckedStack | null {
  const units = unitsOf(plan).map((unit) => {
    const pannedLayers = stagesOfUnit(plan, unit).some(({ kind }) => kind === 'drive')
    return {
      unit,
      pannedLayers,
      running: createRenderUnit(plan, unit, openTake, { layerStems: true, pannedLayers }),
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
  const isMono = layer.take.channels === 1 && !isPanned
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

/** Layers of one take: the delay between them is that of their places, at the session's rate. */
function copiesByPlace(layers: readonly PlannedLayer[]): KnownCopy[] {
  return layers.flatMap((one, k) =>
    layers
      .slice(k + 1)
      .flatMap((other, i) =>
        one.take.sha256 === other.take.sha256
          ? [{ layer: k + 1 + i, other: k, lagFrames: other.offsetSamples - one.offsetSamples }]
          : [],
      ),
  )
}
