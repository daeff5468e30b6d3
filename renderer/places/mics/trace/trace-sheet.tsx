// The picture with marks and points on top: click, drag, arrow keys, zoom.

import { type KeyboardEvent, type PointerEvent, useEffect, useRef } from 'react'
import type { TraceMark } from '../../../../app/contract/entities.ts'
import { formatFrequency, formatLevel } from '../../../../app/words/format.ts'
import { type KeyActName, keyActOf } from '../../../keys/key-table.ts'
import { useDrag } from '../../../parts/use-drag.ts'
import { undoHistory } from '../../../state/undo.ts'
import type { TracedPicture } from './load-picture.ts'
import type { TracePlace } from './trace-axes.ts'
import {
  addPlace,
  changeTraceState,
  followFrom,
  isFrequencyMark,
  MARK_NAMES,
  type MarkName,
  moveMark,
  movePlace,
  placeMark,
  readTraceState,
  removePlace,
  type TraceState,
} from './trace-state.ts'

/** Zoom factors, smallest first; 1 shows one picture pixel per CSS pixel. */
export const ZOOMS = [0.25, 0.5, 0.75, 1, 1.5, 2, 3, 4, 6, 8] as const

/** The next zoom factor up or down; the same one at either end. */
export const stepZoom = (zoom: number, steps: 1 | -1): number =>
  (steps > 0 ? ZOOMS.find((one) => one > zoom * 1.01) : ZOOMS.findLast((one) => one < zoom / 1.01)) ?? zoom

/** Pixels of the picture that each key moves by; down is positive. */
const MOVES: Readonly<Partial<Record<KeyActName | '', readonly [x: number, y: number]>>> = {
  traceLeft: [-0.5, 0],
  traceRight: [0.5, 0],
  traceUp: [0, -0.5],
  traceDown: [0, 0.5],
  traceFarLeft: [-5, 0],
  traceFarRight: [5, 0],
  traceFarUp: [0, -5],
  traceFarDown: [0, 5],
  traceFineLeft: [-0.1, 0],
  traceFineRight: [0.1, 0],
  traceFineUp: [0, -0.1],
  traceFineDown: [0, 0.1],
}

type Grip = { readonly mark: MarkName } | { readonly point: number }

/** The picture with marks and points; handles pointer, keys and zoom. */
export function TraceSheet({ state, picture }: { state: TraceState; picture: TracedPicture }) {
  const { marks, activeMark, places, selected, tool, zoom } = state
  const { width, height } = picture.pixels
  const frame = useRef<HTMLDivElement>(null)
  const sheet = useRef<SVGSVGElement>(null)
  /** The mark or point being dragged. While it is set, selecting a point does not scroll the picture. */
  const grip = useRef<Grip | null>(null)

  // Ctrl or Cmd with the wheel zooms around the pointer; the wheel alone scrolls.
  useEffect(() => {
    const element = frame.current
    const onWheel = (event: WheelEvent): void => {
      if (element === null || !(event.ctrlKey || event.metaKey)) return
      event.preventDefault()
      const before = readTraceState().zoom
      const next = stepZoom(before, event.deltaY < 0 ? 1 : -1)
      if (next === before) return
      const box = element.getBoundingClientRect()
      const [x, y] = [event.clientX - box.left, event.clientY - box.top]
      const [left, top] = [(element.scrollLeft + x) / before, (element.scrollTop + y) / before]
      changeTraceState({ zoom: next })
      requestAnimationFrame(() => element.scrollTo(left * next - x, top * next - y))
    }
    element?.addEventListener('wheel', onWheel, { passive: false })
    return () => element?.removeEventListener('wheel', onWheel)
  }, [])

  // Scrolls the selected point into view when it was selected outside the picture.
  const chosenX = selected === null ? undefined : places[selected]?.x
  const chosenY = selected === null ? undefined : places[selected]?.y
  useEffect(() => {
    const element = frame.current
    if (element === null || chosenX === undefined || chosenY === undefined || grip.current !== null) return
    const { scrollLeft, scrollTop, clientWidth, clientHeight } = element
    const [x, y] = [chosenX * zoom, chosenY * zoom]
    const isSeen =
      x > scrollLeft + 20 &&
      x < scrollLeft + clientWidth - 20 &&
      y > scrollTop + 20 &&
      y < scrollTop + clientHeight - 20
    if (!isSeen) element.scrollTo(x - clientWidth / 2, y - clientHeight / 2)
  }, [chosenX, chosenY, zoom])

  const placeOf = (event: PointerEvent): TracePlace => {
    const box = sheet.current!.getBoundingClientRect()
    const within = (value: number, most: number): number => Math.min(Math.max(value, 0), most)
    return {
      x: Number(within((event.clientX - box.left) / zoom, width).toFixed(2)),
      y: Number(within((event.clientY - box.top) / zoom, height).toFixed(2)),
    }
  }
  const press = (event: PointerEvent): Grip | null => {
    const target = (event.target as Element).closest<SVGElement>('[data-mark], [data-point]')
    if (target?.dataset.mark !== undefined) {
      changeTraceState({ selected: null })
      return { mark: target.dataset.mark as MarkName }
    }
    if (target?.dataset.point !== undefined && activeMark === null) {
      const point = Number(target.dataset.point)
      changeTraceState({ selected: point, activeMark: null })
      return { point }
    }
    const at = placeOf(event)
    if (activeMark !== null) placeMark(activeMark, at)
    else if (tool === 'follow') followFrom(at)
    else addPlace(at)
    return null
  }
  const letGo = (): void => {
    grip.current = null
    undoHistory.seal()
  }
  const { dragProps } = useDrag<Grip>({
    onPress: (event) => (grip.current = press(event)),
    onMove(held, event) {
      if ('mark' in held) moveMark(held.mark, placeOf(event))
      else movePlace(held.point, placeOf(event))
    },
    onRelease: letGo,
    onCancel: letGo,
  })

  const onKeyDown = (event: KeyboardEvent): void => {
    const act = keyActOf(event, 'trace')
    const move = MOVES[act ?? '']
    if (move !== undefined) {
      const [x, y] = move
      if (activeMark !== null) {
        const { x: oldX, y: oldY, isPlaced } = marks[activeMark]
        const from = isPlaced ? { x: oldX, y: oldY } : { x: width / 2, y: height / 2 }
        if (isPlaced) moveMark(activeMark, { x: from.x + x, y: from.y + y })
        else placeMarkHere(activeMark, from)
      } else if (selected !== null && places[selected] !== undefined) {
        movePlace(selected, { x: places[selected].x + x, y: places[selected].y + y })
      } else return
    } else if (act === 'nextPoint' && places.length > 0) {
      changeTraceState({ activeMark: null, selected: Math.min(places.length - 1, (selected ?? -1) + 1) })
    } else if (act === 'previousPoint' && places.length > 0) {
      changeTraceState({ activeMark: null, selected: Math.max(0, (selected ?? places.length) - 1) })
    } else if (act === 'removePoint' && selected !== null) {
      removePlace(selected)
    } else if (act === 'followLine' && selected !== null && tool === 'follow') {
      followFrom(places[selected]!)
    } else if (act === 'zoomIn' || act === 'zoomOut') {
      changeTraceState({ zoom: stepZoom(zoom, act === 'zoomIn' ? 1 : -1) })
    } else return
    event.preventDefault()
    event.stopPropagation()
  }

  const point = selected === null ? undefined : places[selected]
  return (
    <div
      ref={frame}
      className="trace-frame"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: the arrow keys move its marks and points
      tabIndex={0}
      role="application"
      aria-label="Picture of the plot. Arrow keys move the selected mark or point, Page Up and Page Down select a point, Delete removes it, plus and minus zoom."
      onKeyDown={onKeyDown}
    >
      <div className="trace-page" style={{ width: width * zoom, height: height * zoom }}>
        <img src={picture.url} alt="" width={width * zoom} height={height * zoom} draggable={false} />
        <svg
          ref={sheet}
          width={width * zoom}
          height={height * zoom}
          viewBox={`0 0 ${width} ${height}`}
          aria-hidden="true"
          data-placing={activeMark !== null || undefined}
          {...dragProps}
        >
          <polyline
            className="trace-halo"
            points={places.map(({ x, y }) => `${x},${y}`).join(' ')}
            vectorEffect="non-scaling-stroke"
          />
          <polyline
            className="trace-line"
            points={places.map(({ x, y }) => `${x},${y}`).join(' ')}
            vectorEffect="non-scaling-stroke"
          />
          {places.map((place, index) => (
            <circle
              // Points have no id.
              // biome-ignore lint/suspicious/noArrayIndexKey: a moved point keeps its index
              key={index}
              data-point={index}
              className="trace-point"
              data-selected={index === selected || undefined}
              cx={place.x}
              cy={place.y}
              r={(index === selected ? 6 : 3.5) / zoom}
              vectorEffect="non-scaling-stroke"
            />
          ))}
          {MARK_NAMES.filter((name) => marks[name].isPlaced).map((name) => (
            <MarkSign
              key={name}
              name={name}
              at={marks[name]}
              zoom={zoom}
              size={[width, height]}
              isActive={activeMark === name}
            />
          ))}
          {point === undefined ? null : (
            <g className="trace-cross">
              <line x1={point.x} x2={point.x} y1={0} y2={height} vectorEffect="non-scaling-stroke" />
              <line x1={0} x2={width} y1={point.y} y2={point.y} vectorEffect="non-scaling-stroke" />
            </g>
          )}
        </svg>
      </div>
    </div>
  )
}

/** Places a mark with the keyboard. The mark stays active, so that the arrow keys can move it. */
function placeMarkHere(name: MarkName, at: TracePlace): void {
  placeMark(name, at)
  changeTraceState({ activeMark: name })
}

function MarkSign({
  name,
  at,
  zoom,
  size: [width, height],
  isActive,
}: {
  name: MarkName
  at: TraceMark
  zoom: number
  size: readonly [number, number]
  isActive: boolean
}) {
  const isFrequency = isFrequencyMark(name)
  const reach = 9 / zoom
  const isNearRight = at.x > width - 90 / zoom
  return (
    <g className="trace-mark" data-mark={name} data-active={isActive || undefined}>
      <line
        x1={isFrequency ? at.x : 0}
        x2={isFrequency ? at.x : width}
        y1={isFrequency ? 0 : at.y}
        y2={isFrequency ? height : at.y}
        vectorEffect="non-scaling-stroke"
      />
      <circle className="trace-mark-grip" cx={at.x} cy={at.y} r={reach} vectorEffect="non-scaling-stroke" />
      <path
        d={`M${at.x - reach / 2} ${at.y}h${reach}M${at.x} ${at.y - reach / 2}v${reach}`}
        vectorEffect="non-scaling-stroke"
      />
      <text
        x={at.x + (isNearRight ? -1.3 : 1.3) * reach}
        y={at.y + (isFrequency && at.y < height - 4 * reach ? 2.2 : -0.9) * reach}
        fontSize={13 / zoom}
        textAnchor={isNearRight ? 'end' : 'start'}
      >
        {isFrequency ? formatFrequency(at.value) : formatLevel(at.value, 'dB')}
      </text>
    </g>
  )
}
