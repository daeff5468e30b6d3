// Layout of the river for measured levels: its strands, and the positions of names and numbers
// at both ends, which must not overlap.

import { spreadOut } from '../../../parts/plot/spread-out.ts'
import type { MeasuredChain } from './match-measurement.ts'
import {
  type JointStrands,
  type RiverFrame,
  type RiverScale,
  type Strand,
  scaleFor,
  strandsOf,
} from './river-geometry.ts'

const LABEL_SPACING_PX = 18
const MARGIN_PX = 8

/** Positions in px, for drawing. */
export interface RiverCourse {
  readonly heightPx: number
  readonly jointsX: readonly number[]
  readonly joints: readonly JointStrands[]
  readonly strands: readonly Strand[]
  /** y of the label of each strand at the first and at the last joint. */
  readonly inY: readonly number[]
  readonly outY: readonly number[]
}

const jointsOf = (chain: MeasuredChain): readonly JointStrands[] => [
  chain.input.strandsDbfs,
  ...chain.rows.map((row) => row.after.strandsDbfs),
]

/** y of labels near the middles of the strands, at least a line apart. */
export const wordsY = (middlesY: readonly number[], heightPx: number): number[] =>
  spreadOut(middlesY, LABEL_SPACING_PX, MARGIN_PX, heightPx - MARGIN_PX)

/** The scale at which all of these joints fit into a height in px. */
export const riverScaleOfAll = (joints: readonly JointStrands[], heightPx: number): RiverScale =>
  scaleFor(joints, heightPx - 2 * MARGIN_PX)

/** The scale at which a measured chain fits into a height in px. */
export const riverScaleOf = (chain: MeasuredChain, heightPx: number): RiverScale =>
  riverScaleOfAll(jointsOf(chain), heightPx)

/**
 * Lays out a measured chain.
 * @param jointsX x of each joint in px, one more than stages
 * @param scale the largest at which it fits, if omitted
 */
export function courseOf(
  chain: MeasuredChain,
  jointsX: readonly number[],
  heightPx: number,
  scale: RiverScale = riverScaleOf(chain, heightPx),
): RiverCourse {
  const joints = jointsOf(chain)
  const frame: RiverFrame = { jointsX, topY: MARGIN_PX, heightPx: heightPx - 2 * MARGIN_PX }
  const strands = strandsOf(joints, scale, frame)
  const yAt = (joint: number): number[] =>
    wordsY(
      strands.map((strand) => strand.middlesY[joint]),
      heightPx,
    )
  return { heightPx, jointsX, joints, strands, inY: yAt(0), outY: yAt(joints.length - 1) }
}
