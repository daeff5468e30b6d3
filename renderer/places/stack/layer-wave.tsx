// Waveform of a layer on the time axis; dragging and arrow keys change the offset.

import { type KeyboardEvent, useState } from 'react'
import type { Layer, Take } from '../../../app/contract/entities.ts'
import type { TimeBase } from '../../../app/words/bars/bar-words.ts'
import { changeTogether } from '../../acts/stack-acts.ts'
import { formatOffset, framesOfMs, type OffsetUnit } from '../../formats/stack/offset-units.ts'
import { snapFrame } from '../../formats/stack/snap.ts'
import { keyActOf } from '../../keys/key-table.ts'
import { useAtRest } from '../../parts/use-at-rest.ts'
import { useDrag } from '../../parts/use-drag.ts'
import { useEffectiveTheme } from '../../state/theme.ts'
import { undoHistory } from '../../state/undo.ts'
import { usePeaks } from '../../waveform/use-peaks.ts'
import { Waveform } from '../../waveform/waveform.tsx'
import { removeWithFocus } from './row-keys.ts'
import { lengthInSession } from './time-axis.ts'
import type { DrawnRange } from './use-lane-viewport.ts'

const GAIN_REST_MS = 150
const NUDGE_MS = 1
const LONG_NUDGE_MS = 10

/** Where on the time axis lanes are drawn. */
export interface LaneAxis {
  /** Session frame at the left end of the lanes. */
  readonly originFrame: number
  readonly pxPerSecond: number
  readonly drawn: DrawnRange
}

/** A layer, its take, and the time axis it is drawn on. */
export interface LayerWaveProps {
  readonly layer: Layer
  readonly take: Take
  readonly base: TimeBase
  readonly unit: OffsetUnit
  readonly axis: LaneAxis
  readonly height: number
  readonly waveGain: number
  /** A custom property of the theme, such as --group-1. */
  readonly colour: string
  readonly isSelected: boolean
  readonly onSelect: () => void
}

/** Waveform of a layer. Dragging sets the offset; Shift snaps it to beats, or to 0.1 s without a tempo. */
export function LayerWave(props: LayerWaveProps) {
  const { layer, take, base, unit, height } = props
  const { originFrame, pxPerSecond, drawn } = props.axis
  const peaks = usePeaks(take.id)
  const theme = useEffectiveTheme()
  // Below 0 the wave is drawn upside down.
  const gain = props.waveGain * (layer.polarityInverted ? -1 : 1) * 10 ** (layer.gainDb / 20)
  // While the gain changes, the waveform is only scaled; it is redrawn once the gain has settled.
  const drawnGain = useAtRest(gain, GAIN_REST_MS)
  const [draggedFrames, setDraggedFrames] = useState<number | null>(null)

  const offset = layer.offsetSamples + (draggedFrames ?? 0)
  const pxPerFrame = pxPerSecond / base.sampleRateHz
  const leftPx = (offset - originFrame) * pxPerFrame
  const widthPx = Math.max(2, lengthInSession(take, base.sampleRateHz) * pxPerFrame)
  const fromPx = Math.max(leftPx, drawn.fromPx)
  const toPx = Math.min(leftPx + widthPx, drawn.toPx)
  // Frames of the take per pixel, at the take's own sample rate.
  const takeFramesPerPx = take.frames / widthPx

  const moveTo = (frame: number): void => {
    if (frame !== layer.offsetSamples) void changeTogether(layer, { offsetSamples: frame }, 'offset')
  }

  const { dragProps, cancel } = useDrag<{ fromX: number }>({
    onPress(event) {
      props.onSelect()
      setDraggedFrames(0)
      return { fromX: event.clientX }
    },
    onMove({ fromX }, event) {
      const free = Math.round(layer.offsetSamples + (event.clientX - fromX) / pxPerFrame)
      const frame = event.shiftKey ? snapFrame(free, base) : free
      setDraggedFrames(frame - layer.offsetSamples)
    },
    onRelease() {
      if (draggedFrames !== null && draggedFrames !== 0) {
        undoHistory.seal()
        moveTo(layer.offsetSamples + draggedFrames)
        undoHistory.seal()
      }
      setDraggedFrames(null)
    },
    onCancel: () => setDraggedFrames(null),
  })
  const onKeyDown = (event: KeyboardEvent<HTMLDivElement>): void => {
    const nudge = (ms: number): void => moveTo(layer.offsetSamples + framesOfMs(ms, base.sampleRateHz))
    switch (keyActOf(event, 'wave')) {
      case 'earlier':
        nudge(-NUDGE_MS)
        break
      case 'later':
        nudge(NUDGE_MS)
        break
      case 'muchEarlier':
        nudge(-LONG_NUDGE_MS)
        break
      case 'muchLater':
        nudge(LONG_NUDGE_MS)
        break
      case 'removeLayer':
        removeWithFocus(event.currentTarget.closest<HTMLElement>('.layer-row'), layer)
        break
      case 'cancelDrag':
        // Without a drag, Escape goes back to the row.
        if (draggedFrames === null) return
        cancel()
        break
      default:
        return
    }
    event.preventDefault()
  }

  return (
    <div
      className="layer-wave"
      role="slider"
      tabIndex={-1}
      aria-label={`Position of ${layer.name}`}
      aria-valuenow={offset}
      aria-valuetext={formatOffset(offset, unit, base)}
      data-selected={props.isSelected || undefined}
      data-muted={layer.muted || undefined}
      data-dragging={draggedFrames !== null || undefined}
      style={{ left: leftPx, width: widthPx, height }}
      {...dragProps}
      onKeyDown={onKeyDown}
      onFocus={props.onSelect}
      onBlur={() => undoHistory.seal()}
    >
      {draggedFrames === null ? null : (
        <span className="layer-wave-moved number">{formatOffset(offset, unit, base)}</span>
      )}
      {peaks === undefined || toPx - fromPx < 1 ? null : (
        <div
          className="layer-wave-picture"
          style={{
            left: fromPx - leftPx,
            ...(gain === drawnGain ? {} : { transform: `scaleY(${gain / drawnGain})` }),
          }}
        >
          <Waveform
            peaks={peaks}
            fromFrame={(fromPx - leftPx) * takeFramesPerPx}
            toFrame={(toPx - leftPx) * takeFramesPerPx}
            width={toPx - fromPx}
            height={height}
            colour={props.colour}
            theme={theme}
            gain={drawnGain}
          />
        </div>
      )}
    </div>
  )
}
