// Handles of a plot: points and lines that set values by dragging or with the arrow keys.

import { type KeyboardEvent, type PointerEvent, useRef } from 'react'
import { type KeyActName, keyActOf } from '../../keys/key-table.ts'
import { undoHistory } from '../../state/undo.ts'
import { useDrag } from '../use-drag.ts'
import { usePlotScale } from './plot-scale.ts'

/** Steps of each key: right and up are positive. */
const STEPS: Readonly<Partial<Record<KeyActName | '', { x: number; y: number }>>> = {
  plotRight: { x: 1, y: 0 },
  plotLeft: { x: -1, y: 0 },
  plotUp: { x: 0, y: 1 },
  plotDown: { x: 0, y: -1 },
  plotFarRight: { x: 10, y: 0 },
  plotFarLeft: { x: -10, y: 0 },
  plotFarUp: { x: 0, y: 10 },
  plotFarDown: { x: 0, y: -10 },
}

/** What a handle does when it is dragged or stepped by keys; values are in the units of the axes. */
export interface DragProps {
  readonly onMove: (x: number, y: number, isFine: boolean) => void
  readonly onStep: (x: number, y: number) => void
}

/** Pointer and key handling of a handle. A drag is one undo step. */
export function useHandle({ onMove, onStep }: DragProps) {
  const scale = usePlotScale()
  /** Position of the handle in pixels. */
  const at = useRef({ x: 0, y: 0 })

  const placeOf = (event: PointerEvent) => {
    const box = (event.currentTarget as SVGElement).ownerSVGElement!.getBoundingClientRect()
    return { x: event.clientX - box.left, y: event.clientY - box.top }
  }
  const { dragProps } = useDrag<{ x: number; y: number }>({
    onPress(event) {
      undoHistory.hold()
      const place = placeOf(event)
      return { x: place.x - at.current.x, y: place.y - at.current.y }
    },
    onMove(grip, event) {
      const place = placeOf(event)
      onMove(
        scale.x.invert(Math.min(scale.right, Math.max(scale.left, place.x - grip.x))),
        scale.y.invert(Math.min(scale.bottom, Math.max(scale.top, place.y - grip.y))),
        event.altKey,
      )
    },
    onRelease: () => undoHistory.seal(),
    onCancel: () => undoHistory.seal(),
  })
  return {
    /**
     * @param x @param y position of the handle in pixels, so that it does not jump to the pointer
     * @param acts what further keys do
     */
    bind: (x: number, y: number, acts: Readonly<Partial<Record<KeyActName | '', () => void>>> = {}) => {
      at.current = { x, y }
      return {
        ...dragProps,
        onKeyDown(event: KeyboardEvent<SVGGElement>) {
          const name = keyActOf(event, 'plot') ?? ''
          const steps = STEPS[name]
          const act = acts[name]
          if (steps === undefined && act === undefined) return
          event.preventDefault()
          act?.()
          if (steps !== undefined) onStep(steps.x, steps.y)
        },
      }
    },
  }
}

export interface PlotPointProps extends DragProps {
  readonly x: number
  readonly y: number
  readonly label: string
  readonly valueText: string
}

/**
 * A point that sets two values by dragging or with the arrow keys. Values are in the units of the axes.
 */
export function PlotPoint(props: PlotPointProps) {
  const scale = usePlotScale()
  const { bind } = useHandle(props)
  const x = scale.x(props.x)
  const y = Math.min(scale.bottom, Math.max(scale.top, scale.y(props.y)))
  return (
    <g
      className="plot-handle plot-point"
      role="slider"
      tabIndex={0}
      aria-label={props.label}
      aria-valuenow={props.y}
      aria-valuetext={props.valueText}
      transform={`translate(${x} ${y})`}
      {...bind(x, y)}
    >
      <circle className="plot-hit" r={16} />
      <circle className="plot-dot" r={6} />
    </g>
  )
}

/** Average width of a character in a plot. */
const CHARACTER_PX = 7.6
const LINE_HEIGHT_PX = 18

/** Estimated width in pixels of text in a plot. */
export const widthOf = (words: string): number => words.length * CHARACTER_PX

export interface PlotLineProps {
  readonly direction: 'vertical' | 'horizontal'
  readonly at: number
  readonly min: number
  readonly max: number
  readonly label: string
  readonly valueText: string
  readonly onMove: (value: number) => void
  readonly onStep: (steps: number) => void
  /** Position of the label along the line, 0 to 1. */
  readonly labelAt?: number
}

/** A line across the field that sets one value: threshold, range, ceiling. */
export function PlotLine(props: PlotLineProps) {
  const scale = usePlotScale()
  const isVertical = props.direction === 'vertical'
  const { bind } = useHandle({
    onMove: (x, y) => props.onMove(isVertical ? x : y),
    onStep: (x, y) => props.onStep(x + y),
  })
  const px = isVertical ? scale.x(props.at) : scale.y(props.at)
  const line = isVertical
    ? { x1: px, x2: px, y1: scale.top, y2: scale.bottom }
    : { x1: scale.left, x2: scale.right, y1: px, y2: px }
  const along = props.labelAt ?? 0.5
  const words = `${props.label} ${props.valueText}`
  // The label moves to the other side of the line if it would leave the field.
  const isLeft = isVertical && px + 6 + widthOf(words) > scale.right
  const isUnder = !isVertical && px - scale.top < LINE_HEIGHT_PX
  const text = isVertical
    ? {
        x: isLeft ? px - 6 : px + 6,
        y: scale.top + (scale.bottom - scale.top) * along,
        textAnchor: isLeft ? ('end' as const) : ('start' as const),
      }
    : { x: scale.left + (scale.right - scale.left) * along, y: isUnder ? px + 15 : px - 6 }
  return (
    <g
      className={`plot-handle plot-line-${props.direction}`}
      role="slider"
      tabIndex={0}
      aria-label={props.label}
      aria-orientation={isVertical ? 'horizontal' : 'vertical'}
      aria-valuemin={props.min}
      aria-valuemax={props.max}
      aria-valuenow={props.at}
      aria-valuetext={props.valueText}
      {...bind(px, px)}
    >
      <line className="plot-hit" {...line} />
      <line className="plot-line" {...line} />
      <text className="plot-line-name" {...text}>
        {words}
      </text>
    </g>
  )
}
