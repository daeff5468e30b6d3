// Mixes layers into lanes: mono layers with the session's pan law, stereo layers with balance.

import { channelsOfLayer } from '../../contract/passages/layer-takes.ts'
import type { PlannedLayer, RenderPlan } from '../../contract/render-plan.ts'
import { balanceGains, panGains } from '../../dsp/mix/pan.ts'
import type { Channels } from '../../dsp/stage.ts'

/** Left and right gain of a layer, from its pan and the session's law. */
export function layerPanGains(layer: PlannedLayer, panLaw: RenderPlan['panLaw']): readonly [number, number] {
  return channelsOfLayer(layer) === 1 ? panGains(layer.pan, panLaw) : balanceGains(layer.pan)
}

/**
 * The pan law's level per side at the centre, by which groups are lowered behind their chain. Their layers are
 * raised by as much before it, so that a centred mono layer meets the chain at its own level. Stereo layers have
 * no drop: without a mono layer among them it is 1.
 */
export function centreDrop(layers: readonly PlannedLayer[], panLaw: RenderPlan['panLaw']): number {
  return layers.some((layer) => channelsOfLayer(layer) === 1) ? panGains(0, panLaw)[0] : 1
}

/** Adds a mono or stereo layer to a stereo lane. */
export function addPanned(
  layer: Channels,
  gains: readonly [number, number],
  lane: Channels,
  frames: number,
): void {
  const [leftGain, rightGain] = gains
  const fromLeft = layer[0]
  const fromRight = layer[layer.length - 1]
  const left = lane[0]
  const right = lane[1]
  for (let i = 0; i < frames; i++) {
    left[i] = left[i] + fromLeft[i] * leftGain
    right[i] = right[i] + fromRight[i] * rightGain
  }
}

/** Adds `from` to `to`, channel by channel. */
export function addLane(from: Channels, to: Channels, frames: number): void {
  for (let c = 0; c < to.length; c++) {
    const source = from[c]
    const sum = to[c]
    for (let i = 0; i < frames; i++) sum[i] = sum[i] + source[i]
  }
}

/** Sets the first `frames` of every channel to 0. */
export function clearLane(lane: Channels, frames: number): void {
  for (const channel of lane) channel.fill(0, 0, frames)
}
