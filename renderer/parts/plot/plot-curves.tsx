// Curves, areas and vertical lines of a plot, in the units of the axes.

import { area, line } from 'd3-shape'
import { uprightAt, usePlotScale } from './plot-scale.ts'

/** A vertical line at a value of the x axis. */
export const PlotUpright = ({ at, className }: { at: number; className: string }) => (
  <line className={className} {...uprightAt(usePlotScale(), at)} />
)

/** Stroke of a curve. Colour and dash both differ, so that curves can be told apart without colour. */
export interface CurveLook {
  /** Any CSS colour. */
  readonly colour: string
  /** Dashes and gaps in pixels, as in `stroke-dasharray`; empty for a solid line. */
  readonly dash: string
  /** In pixels. */
  readonly width?: number
}

export interface PlotCurveProps {
  /** Points in the units of the axes, x ascending. */
  readonly xs: readonly number[]
  readonly ys: readonly number[]
  readonly className?: string
  /** Overrides the style sheet. */
  readonly look?: CurveLook
}

/** A curve through points. */
export function PlotCurve({ xs, ys, className = '', look }: PlotCurveProps) {
  const { x, y } = usePlotScale()
  const path = line<number>(
    (i) => x(xs[i]),
    (i) => y(ys[i]),
  ).digits(1)
  return (
    <path
      className={`plot-curve ${className}`}
      d={path(visiblePoints(ys.map((_, i) => x(xs[i])))) ?? ''}
      style={
        look && { stroke: look.colour, strokeDasharray: look.dash || 'none', strokeWidth: look.width ?? 2 }
      }
    />
  )
}

/** Indices of at most two points per pixel: curves may have thousands, and more cannot be seen. */
function visiblePoints(pixels: readonly number[]): number[] {
  const kept: number[] = []
  let last = Number.NEGATIVE_INFINITY
  for (const [i, px] of pixels.entries()) {
    if (px - last < 0.5 && i < pixels.length - 1) continue
    last = px
    kept.push(i)
  }
  return kept
}

export interface PlotAreaProps {
  /** In the units of the axes. */
  readonly xs: readonly number[]
  readonly lows: readonly number[]
  readonly highs: readonly number[]
  readonly className: string
  /** Overrides the style sheet. */
  readonly fill?: string
}

/** The area between two curves. */
export function PlotArea({ xs, lows, highs, className, fill }: PlotAreaProps) {
  const { x, y } = usePlotScale()
  const path = area<number>(
    (i) => x(xs[i]),
    (i) => y(lows[i]),
    (i) => y(highs[i]),
  ).digits(1)
  return <path className={className} d={path([...xs.keys()]) ?? ''} fill={fill} />
}
