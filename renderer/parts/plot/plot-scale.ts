// Provides the scales of a plot to everything drawn in it.

import { createContext, useContext } from 'react'
import type { AxisScale } from './axis.ts'

/** Scales and edges of the field, in CSS pixels from the top left of the plot. */
export interface PlotScale {
  readonly x: AxisScale
  readonly y: AxisScale
  readonly left: number
  readonly right: number
  readonly top: number
  readonly bottom: number
}

/** Provided by the plot to its curves and handles. */
export const ScaleContext = createContext<PlotScale | null>(null)

/**
 * The scale of the surrounding plot.
 * @throws Error outside of a plot
 */
export function usePlotScale(): PlotScale {
  const scale = useContext(ScaleContext)
  if (scale === null) throw new Error('a curve is drawn outside of a plot')
  return scale
}

/** Ends of a vertical line through the field, at a value of the x axis. */
export const uprightAt = ({ x, top, bottom }: PlotScale, value: number) => ({
  x1: x(value),
  x2: x(value),
  y1: top,
  y2: bottom,
})
