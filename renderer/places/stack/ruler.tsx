// The ruler above the lanes: ticks, click to move the playhead, drag to set the loop.

import { type KeyboardEvent, memo, type PointerEvent, useRef, useState } from 'react'
import type { TimeBase } from '../../../app/words/bars/bar-words.ts'
import type { FrameRange } from '../../formats/frame-range.ts'
import { formatOffset, type OffsetUnit } from '../../formats/stack/offset-units.ts'
import { snapFrame, stepBySnap } from '../../formats/stack/snap.ts'
import { keyActOf } from '../../keys/key-table.ts'
import { useDrag } from '../../parts/use-drag.ts'
import { player, playheadFrame } from '../../playback/player.ts'
import { setLoop } from '../../state/selection.ts'
import { ticksBetween } from './time-axis.ts'
import type { DrawnRange } from './use-lane-viewport.ts'
import { useLiveZoom } from './zoom/live-zoom.ts'

/** Shorter drags count as clicks. */
const CLICK_PX = 4

export interface RulerProps {
  readonly base: TimeBase
  readonly unit: OffsetUnit
  readonly originFrame: number
  readonly endFrame: number
  readonly pxPerSecond: number
  readonly drawn: DrawnRange
  readonly loop: FrameRange | null
}

/** Bars or time above the lanes: a click moves the playhead, a drag sets the loop. */
export const Ruler = memo(function Ruler(props: RulerProps) {
  const { base, unit, originFrame, endFrame, drawn, loop } = props
  const { scale, shiftPx } = useLiveZoom()
  const pxPerSecond = props.pxPerSecond * scale
  const ruler = useRef<HTMLDivElement>(null)
  const [drag, setDrag] = useState<FrameRange | null>(null)
  const pxPerFrame = pxPerSecond / base.sampleRateHz
  const xOf = (frame: number): number => (frame - originFrame) * pxPerFrame + shiftPx
  const frameAt = (event: PointerEvent): number => {
    const x = event.clientX - ruler.current!.getBoundingClientRect().left
    const free = originFrame + (x - shiftPx) / pxPerFrame
    return Math.round(event.shiftKey ? snapFrame(free, base) : free)
  }
  const shown =
    drag === null
      ? loop
      : {
          fromFrame: Math.min(drag.fromFrame, drag.toFrame),
          toFrame: Math.max(drag.fromFrame, drag.toFrame),
        }

  const { dragProps } = useDrag<{ fromFrame: number; fromX: number }>({
    onPress(event) {
      const frame = frameAt(event)
      setDrag({ fromFrame: frame, toFrame: frame })
      return { fromFrame: frame, fromX: event.clientX }
    },
    onMove: ({ fromFrame }, event) => setDrag({ fromFrame, toFrame: frameAt(event) }),
    onRelease({ fromFrame, fromX }, event) {
      if (Math.abs(event.clientX - fromX) < CLICK_PX) player.seek(fromFrame)
      else if (shown !== null && shown.toFrame > shown.fromFrame) setLoop(shown)
      setDrag(null)
    },
    onCancel: () => setDrag(null),
  })
  const onKeyDown = (event: KeyboardEvent): void => {
    const here = Math.round(playheadFrame())
    switch (keyActOf(event, 'ruler')) {
      case 'beatBack':
        player.seek(stepBySnap(here, -1, base))
        break
      case 'beatOn':
        player.seek(stepBySnap(here, 1, base))
        break
      case 'loopStart':
        setLoop({ fromFrame: here, toFrame: Math.max(loop?.toFrame ?? 0, stepBySnap(here, 1, base)) })
        break
      case 'loopEnd':
        setLoop({ fromFrame: Math.min(loop?.fromFrame ?? 0, stepBySnap(here, -1, base)), toFrame: here })
        break
      case 'clearLoop':
        setLoop(null)
        break
      default:
        return
    }
    event.preventDefault()
  }

  const ticks = ticksBetween(
    originFrame + Math.max(0, drawn.fromPx - shiftPx) / pxPerFrame,
    Math.min(endFrame, originFrame + (drawn.toPx - shiftPx) / pxPerFrame),
    pxPerSecond,
    base,
  )
  return (
    // biome-ignore lint/a11y/useSemanticElements: a fieldset holds form fields, the ruler holds none
    <div
      ref={ruler}
      className="ruler"
      role="group"
      // biome-ignore lint/a11y/noNoninteractiveTabindex: the ruler takes keys: arrows, [ and ], Escape
      tabIndex={0}
      aria-label={
        loop === null
          ? 'Ruler, no loop. Drag to set a loop, or press [ and ] at the playhead.'
          : `Ruler, loop from ${formatOffset(loop.fromFrame, unit, base)} to ${formatOffset(loop.toFrame, unit, base)}. Escape clears it.`
      }
      {...dragProps}
      onKeyDown={onKeyDown}
    >
      {ticks.map((tick) => (
        <span
          key={tick.frame}
          aria-hidden="true"
          className={tick.label === null ? 'ruler-tick' : 'ruler-tick ruler-tick-long'}
          style={{ left: xOf(tick.frame) }}
        >
          {tick.label === null ? null : <span className="ruler-label number">{tick.label}</span>}
        </span>
      ))}
      {shown === null ? null : (
        <span
          className="ruler-loop"
          style={{ left: xOf(shown.fromFrame), width: (shown.toFrame - shown.fromFrame) * pxPerFrame }}
        />
      )}
    </div>
  )
})
