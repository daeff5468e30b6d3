// A plot: two axes with grid lines, and a clipped plot area for the curves. Stage panels show it small
// beside their fields ('panel'), Mics shows it large ('sheet').

import { type PointerEvent, type ReactNode, useId } from 'react'
import { useSize } from '../use-size.ts'
import { type Axis, axisScale, type Tick } from './axis.ts'
import { type PlotScale, ScaleContext, uprightAt, usePlotScale } from './plot-scale.ts'
import './plot.css'

/** Margins in pixels. The axis labels are above the plot area of a panel and below that of a sheet. */
const LAYOUTS = {
  panel: { left: 46, right: 18, top: 22, bottom: 24 },
  sheet: { left: 52, right: 14, top: 12, bottom: 40 },
} as const
type PlotLayout = keyof typeof LAYOUTS

/** Height that an axis number needs. */
const NUMBER_PX = 15

export interface PlotProps {
  /** What the plot shows, for screen readers. */
  readonly label: string
  readonly x: Axis
  /** An axis, or a function that creates it for the height of the plot area in pixels. */
  readonly y: Axis | ((fieldPx: number) => Axis)
  readonly layout?: PlotLayout
  /** If omitted, the style sheet sets the height. */
  readonly heightPx?: number
  readonly className?: string
  /** Called with the position in axis units. */
  readonly onDoubleClick?: (x: number, y: number) => void
  /** Called with the x value under the pointer; null outside the plot area. */
  readonly onPoint?: (x: number | null) => void
  /** Drawn behind the grid lines. */
  readonly ground?: ReactNode
  /** Curves, clipped to the plot area. */
  readonly children: ReactNode
  /** Draggable points and lines; not clipped, so that they can overlap the margins. */
  readonly handles?: ReactNode
}

/** Axes, grid lines and a clipped plot area for curves; fits the width of its container. */
export function Plot(props: PlotProps) {
  const { label, x, heightPx, layout = 'panel', className = '', onDoubleClick, onPoint, handles } = props
  const [frame, size] = useSize<HTMLDivElement>()
  const clip = useId()
  const { width } = size
  const height = heightPx ?? size.height
  const margin = LAYOUTS[layout]
  const { left, top } = margin
  const right = Math.max(left + 1, width - margin.right)
  const bottom = Math.max(top + 1, height - margin.bottom)
  const y = typeof props.y === 'function' ? props.y(bottom - top) : props.y
  const scale: PlotScale = {
    x: axisScale(x, left, right),
    y: axisScale(y, bottom, top),
    left,
    right,
    top,
    bottom,
  }
  const pointTo = (event: PointerEvent<SVGSVGElement>): void => {
    const px = event.clientX - event.currentTarget.getBoundingClientRect().left
    onPoint?.(px >= left && px <= right ? scale.x.invert(px) : null)
  }
  return (
    <div ref={frame} className={`plot plot-${layout} ${className}`} style={{ height: heightPx }}>
      {width === 0 || height === 0 ? null : (
        <svg
          width={width}
          height={height}
          role={handles === undefined ? 'img' : 'group'}
          aria-label={label}
          onPointerMove={onPoint === undefined ? undefined : pointTo}
          onPointerLeave={() => onPoint?.(null)}
          onDoubleClick={(event) => {
            if (onDoubleClick === undefined) return
            const box = event.currentTarget.getBoundingClientRect()
            onDoubleClick(scale.x.invert(event.clientX - box.left), scale.y.invert(event.clientY - box.top))
          }}
        >
          <clipPath id={clip}>
            <rect x={left} y={top} width={right - left} height={bottom - top} />
          </clipPath>
          <ScaleContext value={scale}>
            {props.ground}
            <Rules x={x} y={y} />
            {layout === 'panel' ? (
              <>
                <AxisLabel x={left} y={top - 8} text={`↑ ${y.label}`} />
                <AxisLabel x={right} y={top - 8} text={`${x.label} →`} isAtEnd />
              </>
            ) : (
              <>
                <AxisLabel x={left} y={height - 5} text={y.label} />
                <AxisLabel x={right} y={height - 5} text={x.label} isAtEnd />
              </>
            )}
            <g clipPath={`url(#${clip})`}>{props.children}</g>
            {handles}
          </ScaleContext>
        </svg>
      )}
    </div>
  )
}

function AxisLabel({ x, y, text, isAtEnd }: { x: number; y: number; text: string; isAtEnd?: true }) {
  return (
    <text className="plot-axis" x={x} y={y} textAnchor={isAtEnd ? 'end' : 'start'}>
      {text}
    </text>
  )
}

function Rules({ x, y }: { x: Axis; y: Axis }) {
  const scale = usePlotScale()
  const { left, right, bottom } = scale
  // When grid lines are close together, every second, third and so on is numbered, and 0 is always among them.
  const step = y.ticks.length < 2 ? 1 : y.ticks[1].value - y.ticks[0].value
  const stepPx = Math.abs(scale.y(step) - scale.y(0))
  const every = Math.max(1, Math.ceil(NUMBER_PX / stepPx))
  const isNumbered = ({ value }: Tick): boolean => Math.round(value / step) % every === 0
  return (
    <>
      {x.ticks.map(({ value, label, isMajor }) => (
        <g key={value}>
          <line className="plot-rule" data-major={isMajor || undefined} {...uprightAt(scale, value)} />
          {label === null ? null : (
            <text className="plot-number" x={scale.x(value)} y={bottom + 17} textAnchor="middle">
              {label}
            </text>
          )}
        </g>
      ))}
      {y.ticks.map((tick) => (
        <g key={tick.value}>
          <line
            className="plot-rule"
            data-zero={tick.value === 0 || undefined}
            x1={left}
            x2={right}
            y1={scale.y(tick.value)}
            y2={scale.y(tick.value)}
          />
          {tick.label === null || !isNumbered(tick) ? null : (
            <text className="plot-number" x={left - 7} y={scale.y(tick.value) + 4.5} textAnchor="end">
              {tick.label}
            </text>
          )}
        </g>
      ))}
    </>
  )
}
