// Follows a line of one colour through a picture, column by column in both directions from a
// start. It finds the centre of the line with sub-pixel precision and bridges gaps made by grid
// lines and labels, until the picture ends or the line is lost.

import { Failure } from '../../../../app/contract/failure.ts'
import { type Lab, labAt, labDistance, type Pixels, paperAround } from './colour.ts'
import type { TracePlace } from './trace-axes.ts'

/** A followed line, in pixels of the picture. */
export interface FollowedLine {
  /** Sorted by x, at most one per column. */
  readonly places: readonly TracePlace[]
  /** True where the line was lost before the edge of the picture. */
  readonly isLostLeft: boolean
  readonly isLostRight: boolean
}

/** Largest distance in pixels between click and line. */
const CLICK_REACH = 5

/** Lower contrast counts as background noise. */
const MIN_CONTRAST = 0.1

/** Tolerated distance from the mix of background and line colour; JPEG compression smears colours. */
const COLOUR_TOLERANCE = 0.13

/** Share of the line colour at the ends of a run of pixels, and the share that its middle must reach. */
const EDGE = 0.2
const MIDDLE = 0.5

/** Number of columns from which the direction is estimated. */
const LOOK_BACK = 10

interface Run {
  readonly top: number
  readonly bottom: number
  readonly centre: number
  /** In pixels of full line colour. */
  readonly thickness: number
}

/** @throws Failure `invalid-input` where there is no line at the start */
export function followLine(pixels: Pixels, start: TracePlace): FollowedLine {
  const ink = inkAt(pixels, start)
  const startX = Math.round(ink.x)
  const first = nearestRun(runsIn(pixels, ink, startX, start.y - 40, start.y + 40), start.y)
  if (first === null) throw noLine()
  const usual = usualThickness(pixels, ink, startX, first)
  const left = followOneWay(pixels, ink, startX, first, usual, -1)
  const right = followOneWay(pixels, ink, startX, first, usual, 1)
  const places = [...left.places.reverse(), { x: startX, y: first.centre }, ...right.places]
  if (places.length < 8) throw noLine()
  return {
    places: places.map(({ x, y }) => ({ x: x + 0.5, y: y + 0.5 })),
    isLostLeft: left.isLost,
    isLostRight: right.isLost,
  }
}

const noLine = (): Failure =>
  new Failure(
    'invalid-input',
    'No line found there. Zoom in and click on the middle of the line, or add points by hand.',
  )

interface Ink {
  readonly x: number
  readonly paper: Lab
  readonly colour: Lab
  /** Vector from background to line colour. */
  readonly way: Lab
  readonly wayLength: number
}

/** Colour of the line nearest to the click, by its contrast with the background. */
function inkAt(pixels: Pixels, { x, y }: TracePlace): Ink {
  const paper = paperAround(pixels, Math.round(x), Math.round(y), 80)
  let best = { score: 0, x: 0, y: 0, contrast: 0 }
  for (let row = Math.ceil(y - CLICK_REACH); row <= y + CLICK_REACH; row++) {
    for (let column = Math.ceil(x - CLICK_REACH); column <= x + CLICK_REACH; column++) {
      if (row < 0 || column < 0 || row >= pixels.height || column >= pixels.width) continue
      const contrast = labDistance(labAt(pixels, column, row), paper)
      const away = ((row + 0.5 - y) ** 2 + (column + 0.5 - x) ** 2) / CLICK_REACH
      const score = contrast * Math.exp(-away)
      if (score > best.score) best = { score, x: column, y: row, contrast }
    }
  }
  if (best.contrast < MIN_CONTRAST) throw noLine()
  // A click often lands on the soft edge of the line; the strongest pixel in that column is its colour.
  let colour = labAt(pixels, best.x, best.y)
  for (let row = Math.max(0, best.y - 2); row <= Math.min(pixels.height - 1, best.y + 2); row++) {
    const lab = labAt(pixels, best.x, row)
    const sameHue = perpendicular(lab, paper, colour) < COLOUR_TOLERANCE / 2
    if (sameHue && labDistance(lab, paper) > labDistance(colour, paper)) colour = lab
  }
  const way: Lab = [colour[0] - paper[0], colour[1] - paper[1], colour[2] - paper[2]]
  return { x: best.x, paper, colour, way, wayLength: Math.hypot(...way) }
}

/** Distance of a colour from the straight line between background and line colour. */
function perpendicular(lab: Lab, paper: Lab, colour: Lab): number {
  const way = [colour[0] - paper[0], colour[1] - paper[1], colour[2] - paper[2]] as const
  const from = [lab[0] - paper[0], lab[1] - paper[1], lab[2] - paper[2]] as const
  const square = way[0] ** 2 + way[1] ** 2 + way[2] ** 2
  const along = (from[0] * way[0] + from[1] * way[1] + from[2] * way[2]) / square
  return Math.hypot(from[0] - along * way[0], from[1] - along * way[1], from[2] - along * way[2])
}

/** Share of the line colour in a pixel, 0 to 1. */
function inkShare(pixels: Pixels, { paper, way, wayLength }: Ink, x: number, y: number): number {
  const lab = labAt(pixels, x, y)
  const from0 = lab[0] - paper[0]
  const from1 = lab[1] - paper[1]
  const from2 = lab[2] - paper[2]
  const along = (from0 * way[0] + from1 * way[1] + from2 * way[2]) / (wayLength * wayLength)
  if (along <= 0) return 0
  const beside = Math.hypot(from0 - along * way[0], from1 - along * way[1], from2 - along * way[2])
  return Math.min(1, along) * Math.exp(-((beside / COLOUR_TOLERANCE) ** 2))
}

/** Runs of the line colour in one column. */
function runsIn(pixels: Pixels, ink: Ink, x: number, fromY: number, toY: number): Run[] {
  const runs: Run[] = []
  const first = Math.max(0, Math.floor(fromY))
  const last = Math.min(pixels.height - 1, Math.ceil(toY))
  let top = -1
  let sum = 0
  let weight = 0
  let moment = 0
  let most = 0
  for (let y = first; y <= last + 1; y++) {
    const share = y <= last ? inkShare(pixels, ink, x, y) : 0
    if (share >= EDGE) {
      if (top < 0) {
        top = y
        sum = 0
        moment = 0
        most = 0
        weight = 0
      }
      sum += share
      // The edge of a run may be a grid line, so only the share above EDGE counts as weight for the centre.
      weight += share - EDGE
      moment += (share - EDGE) * y
      most = Math.max(most, share)
    } else if (top >= 0) {
      if (most >= MIDDLE) runs.push({ top, bottom: y - 1, centre: moment / weight, thickness: sum })
      top = -1
    }
  }
  return runs
}

const nearestRun = (runs: readonly Run[], y: number): Run | null =>
  runs.reduce<Run | null>(
    (best, run) => (best === null || Math.abs(run.centre - y) < Math.abs(best.centre - y) ? run : best),
    null,
  )

/** Median thickness around the start. */
function usualThickness(pixels: Pixels, ink: Ink, startX: number, first: Run): number {
  const seen: number[] = [first.thickness]
  for (let x = Math.max(0, startX - 6); x <= Math.min(pixels.width - 1, startX + 6); x++) {
    const run = nearestRun(runsIn(pixels, ink, x, first.top - 8, first.bottom + 8), first.centre)
    if (run !== null) seen.push(run.thickness)
  }
  return seen.sort((a, b) => a - b)[seen.length >> 1]!
}

function followOneWay(
  pixels: Pixels,
  ink: Ink,
  startX: number,
  first: Run,
  usual: number,
  step: 1 | -1,
): { places: TracePlace[]; isLost: boolean } {
  const places: TracePlace[] = []
  // Points found after a gap; accepted once there are enough of them to be the line.
  let pending: TracePlace[] = []
  let last: Run = first
  let gap = 0
  const mostGap = Math.max(16, Math.round(0.03 * pixels.width))
  const trail = (): TracePlace[] => [{ x: startX, y: first.centre }, ...places]
  let direction = { y: first.centre, slope: 0, x: startX }

  for (let x = startX + step; x >= 0 && x < pixels.width; x += step) {
    const ahead = Math.abs(x - direction.x)
    const expected = direction.y + direction.slope * ahead * step
    const steepness = Math.abs(direction.slope)
    const reach = 4 + usual + 1.5 * steepness + 0.6 * gap
    const run = bestRun(
      runsIn(pixels, ink, x, Math.min(expected, last.top) - reach, Math.max(expected, last.bottom) + reach),
      { expected, last: gap === 0 ? last : null, usual, steepness, reach },
    )
    if (run === null) {
      gap += 1 + pending.length
      pending = []
      if (gap > mostGap) return { places, isLost: true }
      continue
    }
    last = run
    if (gap === 0) {
      places.push({ x, y: run.centre })
    } else {
      pending.push({ x, y: run.centre })
      // Strokes of labels end after a few columns; the line continues.
      if (pending.length < Math.min(12, 2 + gap)) continue
      places.push(...pending)
      pending = []
      gap = 0
    }
    direction = directionOf(trail(), step)
  }
  return { places, isLost: false }
}

interface Expectation {
  readonly expected: number
  /** null after a gap: the next run need not touch the last one. */
  readonly last: Run | null
  readonly usual: number
  readonly steepness: number
  readonly reach: number
}

function bestRun(runs: readonly Run[], { expected, last, usual, steepness, reach }: Expectation): Run | null {
  let best: Run | null = null
  let least = Number.POSITIVE_INFINITY
  // A steep line fills many pixels of a column, and it may be getting steeper.
  const tallest = 1.6 * usual * Math.hypot(1, steepness) + 2.5 * steepness + 4
  for (const run of runs) {
    if (run.bottom - run.top + 1 > tallest + 3 || run.thickness > tallest) continue
    const away = Math.abs(run.centre - expected)
    const apart = last === null ? 0 : Math.max(0, run.top - last.bottom - 1, last.top - run.bottom - 1)
    if (apart > 2 || (away > reach && apart > 0) || away > reach + run.thickness) continue
    const thin = Math.max(0, Math.log((usual * Math.hypot(1, steepness)) / run.thickness))
    const cost = away + 2 * apart + 2 * thin
    if (cost < least) {
      least = cost
      best = run
    }
  }
  return best
}

/** Position and slope of the line, from a straight fit through the last columns. */
function directionOf(trail: readonly TracePlace[], step: 1 | -1): { x: number; y: number; slope: number } {
  const recent = trail.slice(-LOOK_BACK)
  const last = recent.at(-1)!
  if (recent.length < 3) return { x: last.x, y: last.y, slope: 0 }
  let sumT = 0
  let sumY = 0
  let sumTT = 0
  let sumTY = 0
  for (const { x, y } of recent) {
    const t = (x - last.x) * step
    sumT += t
    sumY += y
    sumTT += t * t
    sumTY += t * y
  }
  const n = recent.length
  const bottom = n * sumTT - sumT * sumT
  const along = bottom === 0 ? 0 : (n * sumTY - sumT * sumY) / bottom
  // Slope per column to the right. The last y is used as it is, since a fitted one would lag.
  return { x: last.x, y: last.y, slope: along * step }
}
