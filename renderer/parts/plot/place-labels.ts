// Positions of labels in a plot, so that none covers another one or a mark.

/** A mark with a label, in px. */
export interface LabelledMark {
  readonly x: number
  readonly y: number
  readonly widthPx: number
  /** Whether the label is rather above the mark than below it. */
  readonly isAbove: boolean
}

export interface LabelField {
  readonly left: number
  readonly right: number
  readonly top: number
  readonly bottom: number
}

interface Box {
  readonly x: number
  readonly y: number
  readonly width: number
  readonly height: number
}

/** Middle and baseline of a label in px. */
export interface LabelPlace {
  readonly x: number
  readonly y: number
}

const LINE_PX = 16
/** From the top of a line to its baseline. */
const ASCENT_PX = 12
/** From the middle of a mark to the nearest edge of its label. */
const OFF_PX = 12
const MARK_PX = 20
const GAP_PX = 4

const overlapOf = (a: Box, b: Box): number =>
  Math.max(0, Math.min(a.x + a.width, b.x + b.width) - Math.max(a.x, b.x)) *
  Math.max(0, Math.min(a.y + a.height, b.y + b.height) - Math.max(a.y, b.y))

/** One place for each mark: the nearest free one; where none is free, the one that covers least. */
export function placeLabels(marks: readonly LabelledMark[], field: LabelField): readonly LabelPlace[] {
  const taken: Box[] = marks.map(({ x, y }) => ({
    x: x - MARK_PX / 2,
    y: y - MARK_PX / 2,
    width: MARK_PX,
    height: MARK_PX,
  }))
  const places: LabelPlace[] = []
  // From left to right, whatever the order of the marks, so that a drag past another mark moves few labels.
  for (const index of [...marks.keys()].sort((a, b) => marks[a].x - marks[b].x)) {
    const candidates = candidatesOf(marks[index], field)
    const costs = candidates.map((box) => taken.reduce((sum, other) => sum + overlapOf(box, other), 0))
    const best = candidates[costs.indexOf(Math.min(...costs))]
    taken.push(best)
    places[index] = { x: best.x + best.width / 2, y: best.y + ASCENT_PX }
  }
  return places
}

/** Nearest first, all within the field. */
function candidatesOf({ x, y, widthPx, isAbove }: LabelledMark, field: LabelField): readonly Box[] {
  const width = widthPx + GAP_PX
  const boxAt = (left: number, top: number): Box => ({
    x: Math.min(field.right - width, Math.max(field.left, left)),
    y: Math.min(field.bottom - LINE_PX, Math.max(field.top, top)),
    width,
    height: LINE_PX,
  })
  const above = (lines: number): Box => boxAt(x - width / 2, y - OFF_PX - LINE_PX * lines)
  const below = (lines: number): Box => boxAt(x - width / 2, y + OFF_PX + LINE_PX * (lines - 1))
  const beside = [boxAt(x + OFF_PX, y - LINE_PX / 2), boxAt(x - OFF_PX - width, y - LINE_PX / 2)]
  const [near, far] = isAbove ? [above, below] : [below, above]
  return [near(1), ...beside, far(1), near(2), far(2), near(3), far(3), near(4), far(4)]
}
