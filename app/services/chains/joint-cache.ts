// Keeps the sound before the stage that is being edited, so that a change at stage k is measured from
// stage k on and not from the take.

import type { KeptJoint, StageToMeasure } from '../../engine/measuring/measure-joints.ts'
import { hashOfValue } from '../../history/canonical-json.ts'

/** Most sound that is kept, in bytes; a three-minute mono take at 48 kHz has 35 MB. */
const MAX_BYTES = 256 * 1024 * 1024

interface JointPlan {
  readonly from: KeptJoint | null
  readonly keepBeforeStage: number | null
}

/** Keeps the sound at joints of chains, so that a changed stage is measured from there on. */
export interface JointCache {
  /** Where to start for these stages of a take, and which joint to keep on the way. */
  plan(takeKey: string, stages: readonly StageToMeasure[], signalBytes: number): JointPlan
  keep(takeKey: string, stages: readonly StageToMeasure[], kept: KeptJoint): void
}

/** An empty cache of at most 256 MiB of sound. */
export function createJointCache(): JointCache {
  const kept = new Map<string, KeptJoint>()
  /** Prints of the stages each take was last measured with; the first that differs is being edited. */
  const last = new Map<string, readonly string[]>()

  const keyOf = (takeKey: string, prints: readonly string[], count: number): string =>
    hashOfValue([takeKey, prints.slice(0, count)])
  const printsOf = (stages: readonly StageToMeasure[]): string[] => stages.map(hashOfValue)

  return {
    plan(takeKey, stages, signalBytes) {
      const prints = printsOf(stages)
      const before = last.get(takeKey) ?? []
      last.set(takeKey, prints)
      const changed = prints.findIndex((print, k) => print !== before[k])
      for (let k = stages.length; k > 0; k--) {
        const from = kept.get(keyOf(takeKey, prints, k))
        if (from === undefined) continue
        return { from, keepBeforeStage: changed > k && signalBytes <= MAX_BYTES ? changed : null }
      }
      const isWorthIt = before.length > 0 && changed > 0 && signalBytes <= MAX_BYTES
      return { from: null, keepBeforeStage: isWorthIt ? changed : null }
    },
    keep(takeKey, stages, joint) {
      kept.set(keyOf(takeKey, printsOf(stages), joint.beforeStage), joint)
      const bytesOf = (one: KeptJoint): number =>
        one.signal.reduce((sum, channel) => sum + channel.byteLength, 0)
      let bytes = [...kept.values()].reduce((sum, one) => sum + bytesOf(one), 0)
      for (const [key, one] of kept) {
        if (bytes <= MAX_BYTES) break
        kept.delete(key)
        bytes -= bytesOf(one)
      }
    },
  }
}
