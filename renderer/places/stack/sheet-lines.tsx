// Bar lines and the loop, behind all lanes.

import { memo } from 'react'
import type { TimeBase } from '../../../app/words/bars/bar-words.ts'
import type { FrameRange } from '../../formats/frame-range.ts'
import { ticksBetween } from './time-axis.ts'
import type { DrawnRange } from './use-lane-viewport.ts'
import { useLiveZoom } from './zoom/live-zoom.ts'

export interface SheetLinesProps {
  readonly base: TimeBase
  readonly originFrame: number
  readonly endFrame: number
  readonly pxPerSecond: number
  readonly drawn: DrawnRange
  readonly loop: FrameRange | null
}

/** Lines at the labelled ticks of the ruler. */
export const SheetLines = memo(function SheetLines(props: SheetLinesProps) {
  const { base, originFrame, endFrame, drawn, loop } = props
  const { scale, shiftPx } = useLiveZoom()
  const pxPerSecond = props.pxPerSecond * scale
  const pxPerFrame = pxPerSecond / base.sampleRateHz
  const xOf = (frame: number): number => (frame - originFrame) * pxPerFrame + shiftPx
  const bars = ticksBetween(
    originFrame + Math.max(0, drawn.fromPx - shiftPx) / pxPerFrame,
    Math.min(endFrame, originFrame + (drawn.toPx - shiftPx) / pxPerFrame),
    pxPerSecond,
    base,
  ).filter((tick) => tick.label !== null)
  return (
    <div className="sheet-lines" aria-hidden="true">
      {bars.map((tick) => (
        <span key={tick.frame} className="bar-line" style={{ left: xOf(tick.frame) }} />
      ))}
      {loop === null ? null : (
        <span
          className="loop-shade"
          style={{ left: xOf(loop.fromFrame), width: (loop.toFrame - loop.fromFrame) * pxPerFrame }}
        />
      )}
    </div>
  )
})
