// Geometry of the river: from measured levels at the joints to the shapes of the six strands.
// The thickness doubles with every 10 dB, which is about twice as loud on the sone scale. Quiet
// strands thus stay visible beside loud ones, and 3 dB less is a fifth thinner.

/** Level difference in dB that doubles the thickness. */
export const DOUBLING_DB = 10
const GAP_PX = 4
/** Thickness of an empty strand. */
const HAIRLINE_PX = 0.8
/** Below this level a strand is always a hairline. */
const SILENT_DBFS = -110

/** Level of each strand in dBFS, low to high; null for silence. */
export type JointStrands = readonly (number | null)[]

/** Where the river is drawn, in px. */
export interface RiverFrame {
  /** x of each joint. */
  readonly jointsX: readonly number[]
  readonly topY: number
  readonly heightPx: number
}

/** Maps level to thickness. */
export interface RiverScale {
  /** Thickness in px at 0 dBFS. */
  readonly fullScalePx: number
}

const relativeThickness = (levelDbfs: number | null): number =>
  levelDbfs === null || levelDbfs < SILENT_DBFS ? 0 : 2 ** (levelDbfs / DOUBLING_DB)

/** At least a hairline. */
export const thicknessPx = (levelDbfs: number | null, { fullScalePx }: RiverScale): number =>
  Math.max(HAIRLINE_PX, fullScalePx * relativeThickness(levelDbfs))

/**
 * The largest scale at which the widest joint fits, in steps of a factor 2^¼: small changes in level
 * mostly keep the scale, so that the drawings stay comparable.
 */
export function scaleFor(joints: readonly JointStrands[], heightPx: number): RiverScale {
  const strands = joints[0]?.length ?? 0
  const widest = Math.max(
    1e-6,
    ...joints.map((joint) => joint.reduce((sum: number, level) => sum + relativeThickness(level), 0)),
  )
  const fits = (heightPx - GAP_PX * (strands - 1)) / widest
  return { fullScalePx: 2 ** (Math.floor(Math.log2(fits) * 4) / 4) }
}

/** One strand: an SVG path, and positions for labels in px. */
export interface Strand {
  readonly path: string
  /** Middle of the strand at each joint. */
  readonly middlesY: readonly number[]
}

/** Shapes of the strands, low to high; the lowest is at the bottom. */
export function strandsOf(
  joints: readonly JointStrands[],
  scale: RiverScale,
  frame: RiverFrame,
): readonly Strand[] {
  const count = joints[0]?.length ?? 0
  const middleY = frame.topY + frame.heightPx / 2
  const edges = joints.map((joint) => {
    const widths = joint.map((level) => thicknessPx(level, scale))
    let y = middleY + (widths.reduce((sum, width) => sum + width, 0) + GAP_PX * (count - 1)) / 2
    return widths.map((width) => {
      const bottom = y
      y -= width + GAP_PX
      return { bottom, top: bottom - width }
    })
  })
  return Array.from({ length: count }, (_, strand) => ({
    path: closedPath(
      frame.jointsX,
      edges.map((joint) => joint[strand].top),
      edges.map((joint) => joint[strand].bottom),
    ),
    middlesY: edges.map((joint) => (joint[strand].top + joint[strand].bottom) / 2),
  }))
}

/** Along the top and back along the bottom, with horizontal tangents at the joints. */
function closedPath(xs: readonly number[], tops: readonly number[], bottoms: readonly number[]): string {
  const last = xs.length - 1
  let path = `M${px(xs[0])} ${px(tops[0])}`
  for (let k = 1; k <= last; k++) path += bend(xs[k - 1], tops[k - 1], xs[k], tops[k])
  path += `L${px(xs[last])} ${px(bottoms[last])}`
  for (let k = last; k >= 1; k--) path += bend(xs[k], bottoms[k], xs[k - 1], bottoms[k - 1])
  return `${path}Z`
}

function bend(fromX: number, fromY: number, toX: number, toY: number): string {
  const reach = (toX - fromX) / 2
  return `C${px(fromX + reach)} ${px(fromY)} ${px(toX - reach)} ${px(toY)} ${px(toX)} ${px(toY)}`
}

const px = (value: number): string => value.toFixed(2)
