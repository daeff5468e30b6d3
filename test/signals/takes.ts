// Takes in memory and plans around them, for tests of the engine.

import type { PlannedGroup, PlannedLayer, RenderPlan } from '../../app/contract/render-plan.ts'
import type { TakeSource } from '../../app/engine/mixes/take-source.ts'

/** A take that lies in memory; zeros outside, as with a file. */
export function takeInMemory(channels: readonly Float64Array[]): TakeSource {
  const frames = channels[0].length
  return {
    channels: channels.length,
    frames,
    read(startFrame, count, into) {
      for (const [c, channel] of channels.entries()) {
        for (let i = 0; i < count; i++) {
          const frame = startFrame + i
          into[c][i] = frame >= 0 && frame < frames ? channel[frame] : 0
        }
      }
    },
    close() {},
  }
}

export function plannedLayer(
  id: number,
  groupId: number,
  frames: number,
  changes: Partial<PlannedLayer> = {},
): PlannedLayer {
  return {
    id,
    groupId,
    name: `layer ${id}`,
    role: 'lead',
    take: {
      sha256: `${id}`.padStart(64, '0'),
      sampleRateHz: 48_000,
      channels: 1,
      frames,
      encoding: 'pcm-24',
    },
    offsetSamples: 0,
    gainDb: 0,
    pan: 0,
    stages: [],
    ...changes,
  }
}

export function plannedGroup(id: number, changes: Partial<PlannedGroup> = {}): PlannedGroup {
  return { id, name: `group ${id}`, gainDb: 0, stages: [], ...changes }
}

export function planOf(frames: number, changes: Partial<RenderPlan>): RenderPlan {
  return {
    sampleRateHz: 48_000,
    panLaw: 'minus-3-db',
    startFrame: 0,
    frames,
    sharing: 'own',
    sharedStages: [],
    groups: [plannedGroup(1)],
    layers: [],
    ...changes,
  }
}
