// The playhead: a line across all lanes; the lanes scroll with it during playback.

import { type RefObject, useEffect } from 'react'
import { usePlayer, usePlayhead } from '../../playback/player.ts'
import { AT_REST, useLiveZoom } from './zoom/live-zoom.ts'

export interface PlayheadProps {
  readonly sheet: RefObject<HTMLElement | null>
  readonly laneWidth: number
  readonly originFrame: number
  readonly pxPerFrame: number
}

/** The playhead line; scrolls the lanes during playback. Hidden while a single take plays. */
export function Playhead({ sheet, laneWidth, originFrame, pxPerFrame }: PlayheadProps) {
  const { status, source } = usePlayer()
  const frame = usePlayhead()
  const zoom = useLiveZoom()
  const x = (frame - originFrame) * pxPerFrame * zoom.scale + zoom.shiftPx
  const isOfStack = source?.target.kind !== 'take'
  const isPlaying = status === 'playing' && isOfStack

  useEffect(() => {
    const element = sheet.current
    // While the lanes are stretched, their scroll position is not what is seen.
    if (!isPlaying || element === null || zoom !== AT_REST) return
    if (x < element.scrollLeft || x > element.scrollLeft + laneWidth - 8)
      element.scrollLeft = Math.max(0, x - 24)
  }, [x, isPlaying, sheet, laneWidth, zoom])

  if (!isOfStack) return null
  return <div className="playhead" style={{ transform: `translateX(${x}px)` }} />
}
