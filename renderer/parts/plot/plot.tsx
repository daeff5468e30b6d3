// The ground of every curve in a panel: two axes with thin rules, and a clipped field that
// the curves are drawn in.

import { createContext, type ReactNode, useContext, useId } from 'react'
import { formatNumber } from '../../formats/format.ts'
import { PREFERRED_FREQUENCIES_HZ } from '../../formats/preferred-frequencies.ts'
import { useWidth } from '../use-width.ts'

export interface Tick {
  readonly value: number
  /** null draws a fainter rule without a number. */
  readonly label: string | null
}

export interface Axis {
  readonly label: string
  readonly from: number
  readonly to: number
  readonly isLog?: boolean
  readonly ticks: readonly Tick[]
}

export interface PlotScale {
  readonly x: (value: number) => number
  readonly y: (value: number) => number
  readonly valueAtX: (px: number) => number
  readonly valueAtY: (px: number) => number
  readonly left: number
  readonly right: number
  readonly top: number
  readonly bottom: number
}

/** Above the field stand the words of both axes, so that nothing in it can run into them. */
const MARGIN = { left: 46, right: 18, top: 22, bottom: 24 }

/** Height that a number wants. */
const NUMBER_PX = 15

const ScaleContext = createContext<PlotScale | null>(null)

/** The scale of the plot around. */
export function usePlotScale(): PlotScale {
  const scale = useContext(ScaleContext)
  if (scale === null) throw new Error('a curve is drawn outside of a plot')
  return scale
}

const linear = (from: number, to: number, start: number, end: number) => ({
  px: (value: number) => start + ((value - from) / (to - from)) * (end - start),
  value: (px: number) => from + ((px - start) / (end - start)) * (to - from),
})

function scaleOf(axis: Axis, start: number, end: number) {
  if (axis.isLog !== true) return linear(axis.from, axis.to, start, end)
  const log = linear(Math.log(axis.from), Math.log(axis.to), start, end)
  return { px: (value: number) => log.px(Math.log(value)), value: (px: number) => Math.exp(log.value(px)) }
}

export interface PlotProps {
  readonly label: string
  readonly x: Axis
  readonly y: Axis
  readonly heightPx: number
  readonly onDoubleClick?: (x: number, y: number) => void
  /** Curves, clipped to the field. */
  readonly children: ReactNode
  /** Points and lines to hold, which may reach over the edge. */
  readonly handles?: ReactNode
}

export function Plot({ label, x, y, heightPx, onDoubleClick, children, handles }: PlotProps) {
  const [frame, width] = useWidth<HTMLDivElement>()
  const clip = useId()
  const left = MARGIN.left
  const right = Math.max(left + 1, width - MARGIN.right)
  const top = MARGIN.top
  const bottom = heightPx - MARGIN.bottom
  const xScale = scaleOf(x, left, right)
  const yScale = scaleOf(y, bottom, top)
  const scale: PlotScale = {
    x: xScale.px,
    y: yScale.px,
    valueAtX: xScale.value,
    valueAtY: yScale.value,
    left,
    right,
    top,
    bottom,
  }
  // Where the rules lie close, every other one is numbered, and 0 always.
  const rule = y.ticks.length < 2 ? 1 : y.ticks[1].value - y.ticks[0].value
  const isClose = Math.abs(yScale.px(rule) - yScale.px(0)) < NUMBER_PX
  const isNumbered = (value: number): boolean => !isClose || Math.round(value / rule) % 2 === 0
  return (
    <div ref={frame} className="plot" style={{ height: heightPx }}>
      {width === 0 ? null : (
        // biome-ignore lint/a11y/useSemanticElements: no element draws a group of curves
        <svg
          width={width}
          height={heightPx}
          role="group"
          aria-label={label}
          onDoubleClick={(event) => {
            if (onDoubleClick === undefined) return
            const box = event.currentTarget.getBoundingClientRect()
            onDoubleClick(xScale.value(event.clientX - box.left), yScale.value(event.clientY - box.top))
          }}
        >
          <clipPath id={clip}>
            <rect x={left} y={top} width={right - left} height={bottom - top} />
          </clipPath>
          <g>
            {x.ticks.map(({ value, label: text }) => (
              <g key={value}>
                <line
                  className={text === null ? 'plot-rule plot-rule-fine' : 'plot-rule'}
                  x1={xScale.px(value)}
                  x2={xScale.px(value)}
                  y1={top}
                  y2={bottom}
                />
                {text === null ? null : (
                  <text className="plot-number" x={xScale.px(value)} y={bottom + 17} textAnchor="middle">
                    {text}
                  </text>
                )}
              </g>
            ))}
            {y.ticks.map(({ value, label: text }) => (
              <g key={value}>
                <line
                  className={value === 0 ? 'plot-rule plot-rule-zero' : 'plot-rule'}
                  x1={left}
                  x2={right}
                  y1={yScale.px(value)}
                  y2={yScale.px(value)}
                />
                {text === null || !isNumbered(value) ? null : (
                  <text className="plot-number" x={left - 7} y={yScale.px(value) + 4.5} textAnchor="end">
                    {text}
                  </text>
                )}
              </g>
            ))}
            <text className="plot-axis" x={left} y={top - 8}>
              ↑ {y.label}
            </text>
            <text className="plot-axis" x={right} y={top - 8} textAnchor="end">
              {x.label} →
            </text>
          </g>
          <ScaleContext value={scale}>
            <g clipPath={`url(#${clip})`}>{children}</g>
            {handles}
          </ScaleContext>
        </svg>
      )}
    </div>
  )
}

/** A curve through points given in the units of the axes. */
export function PlotCurve(props: { xs: readonly number[]; ys: readonly number[]; className?: string }) {
  const { x, y } = usePlotScale()
  const points = props.ys.map((value, i) => `${x(props.xs[i]).toFixed(1)} ${y(value).toFixed(1)}`)
  return <path className={`plot-curve ${props.className ?? ''}`} d={`M${points.join('L')}`} />
}

const OCTAVES: readonly number[] = [31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000, 16_000]

/** 20 Hz to 20 kHz with the preferred third-octave frequencies of ISO 266 as rules, octaves numbered. */
export const FREQUENCY_AXIS: Axis = {
  label: 'Hz',
  from: 20,
  to: 20_000,
  isLog: true,
  ticks: PREFERRED_FREQUENCIES_HZ.filter((value) => value >= 20).map((value) => ({
    value,
    label: OCTAVES.includes(value) ? (value < 1000 ? String(value) : `${value / 1000}k`) : null,
  })),
}

/** Evenly ruled; every rule is numbered. */
export function evenAxis(label: string, from: number, to: number, step: number, isSigned = false): Axis {
  const ticks: Tick[] = []
  for (let value = Math.ceil(from / step) * step; value <= to + step / 1000; value += step) {
    const text = formatNumber(value, step % 1 === 0 ? 0 : 1)
    ticks.push({ value, label: isSigned && value > 0 ? `+${text}` : text })
  }
  return { label, from, to, ticks }
}
