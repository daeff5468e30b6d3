// Draws one lane along the song on a canvas: the wave of the sound, or what a stage does over time.

import type { JointSums } from '../../../formats/song/joint-sums.ts'
import { ADDED_FLOOR_DB, type Lane } from '../../../formats/song/lanes.ts'
import { leastIn, mostIn, type Pyramid, pyramidOf } from '../../../formats/song/pyramid.ts'

/** The stretch that is in sight, in rows; fractions of rows are allowed. */
export interface View {
  readonly fromRow: number
  readonly toRow: number
}

/** Browsers limit the size of a canvas. */
const MAX_CANVAS_PX = 8192
/** Tops of the scales of reductions, in dB: the first that holds the greatest one. */
const SCALES_DB = [3, 6, 12, 24, 48, 96]
/** Peaks are drawn by their root, so that soft words can be seen. */
const PEAK_POWER = 0.6

const peakPyramids = new WeakMap<JointSums, Pyramid>()

function peaksOf(joint: JointSums): Pyramid {
  let pyramid = peakPyramids.get(joint)
  if (pyramid === undefined) {
    pyramid = pyramidOf(joint.rows.peaks, joint.rows.peaks)
    peakPyramids.set(joint, pyramid)
  }
  return pyramid
}

/** The dB at the far edge of a lane. */
export function laneScaleDb({ measure, pyramid }: Lane): number {
  if (measure === 'added') return 0
  const greatest = mostIn(pyramid, 0, pyramid.most[0].length)
  return SCALES_DB.find((scale) => greatest <= scale) ?? SCALES_DB[SCALES_DB.length - 1]
}

interface Sheet {
  readonly context: CanvasRenderingContext2D
  readonly columns: number
  readonly height: number
  colour(property: string): string
  /** Rows of a column: from and up to, at least one. */
  rowsOf(column: number): readonly [number, number]
}

function sheetOf(canvas: HTMLCanvasElement, width: number, height: number, view: View): Sheet | null {
  const ratio = Math.min(window.devicePixelRatio, MAX_CANVAS_PX / Math.max(1, width))
  const columns = Math.max(1, Math.round(width * ratio))
  const rows = Math.max(1, Math.round(height * window.devicePixelRatio))
  canvas.width = columns
  canvas.height = rows
  const context = canvas.getContext('2d')
  if (context === null) return null
  const style = getComputedStyle(canvas)
  const perColumn = (view.toRow - view.fromRow) / columns
  return {
    context,
    columns,
    height: rows,
    colour: (property) => style.getPropertyValue(property).trim(),
    rowsOf(column) {
      const from = Math.floor(view.fromRow + column * perColumn)
      return [from, Math.max(from + 1, Math.floor(view.fromRow + (column + 1) * perColumn))]
    },
  }
}

/** The wave at the chain's input, and over it what comes out, both as peaks around the middle. */
export function drawWave(
  canvas: HTMLCanvasElement,
  size: { readonly width: number; readonly height: number },
  view: View,
  input: JointSums,
  output: JointSums,
): void {
  const sheet = sheetOf(canvas, size.width, size.height, view)
  if (sheet === null) return
  const { context, columns, height, colour, rowsOf } = sheet
  const loudest = Math.max(
    mostIn(peaksOf(input), 0, input.count),
    mostIn(peaksOf(output), 0, output.count),
    1e-4,
  )
  const layers = [
    [peaksOf(input), colour('--rule-strong')],
    [peaksOf(output), colour('--accent')],
  ] as const
  for (const [peaks, fill] of layers) {
    context.fillStyle = fill
    context.globalAlpha = fill === layers[0][1] ? 0.55 : 0.8
    for (let x = 0; x < columns; x++) {
      const [from, to] = rowsOf(x)
      const peak = mostIn(peaks, from, to)
      if (peak <= 0) continue
      const tall = Math.max(1, (peak / loudest) ** PEAK_POWER * height)
      context.fillRect(x, (height - tall) / 2, 1, tall)
    }
  }
}

/** Reductions hang from the top, and what is added stands on the bottom; the least and the greatest in two tones. */
export function drawLane(
  canvas: HTMLCanvasElement,
  size: { readonly width: number; readonly height: number },
  view: View,
  lane: Lane,
): void {
  const sheet = sheetOf(canvas, size.width, size.height, view)
  if (sheet === null) return
  const { context, columns, height, colour, rowsOf } = sheet
  const scaleDb = laneScaleDb(lane)
  const isAdded = lane.measure === 'added'
  const partOf = (db: number): number =>
    isAdded ? Math.max(0, 1 - db / ADDED_FLOOR_DB) : Math.min(1, db / scaleDb)
  context.fillStyle = colour('--accent')
  for (let x = 0; x < columns; x++) {
    const [from, to] = rowsOf(x)
    const most = mostIn(lane.pyramid, from, to)
    if (!Number.isFinite(most)) continue
    const mostPx = partOf(most) * height
    const leastPx = partOf(leastIn(lane.pyramid, from, to)) * height
    if (mostPx < 0.5) continue
    context.globalAlpha = 0.45
    context.fillRect(x, isAdded ? height - mostPx : 0, 1, Math.max(1, mostPx))
    context.globalAlpha = 0.9
    context.fillRect(x, isAdded ? height - leastPx : 0, 1, leastPx)
  }
}
