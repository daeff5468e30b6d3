// A canvas that is drawn again whenever what it shows, its size or the theme changes.

import { useEffect, useRef } from 'react'
import { useEffectiveTheme } from '../../../state/theme.ts'

export interface LaneCanvasProps {
  readonly width: number
  readonly height: number
  /** Draws everything; a new function draws again. */
  readonly draw: (canvas: HTMLCanvasElement) => void
  readonly isStale: boolean
}

/** Hidden from screen readers: the table has the same figures. */
export function LaneCanvas({ width, height, draw, isStale }: LaneCanvasProps) {
  const canvas = useRef<HTMLCanvasElement>(null)
  const theme = useEffectiveTheme()
  // biome-ignore lint/correctness/useExhaustiveDependencies: the theme changes what the colours' names mean
  useEffect(() => {
    const element = canvas.current
    if (element !== null && width > 0) draw(element)
  }, [draw, width, height, theme])
  return (
    <div className="song-picture" data-stale={isStale || undefined} aria-hidden="true">
      <canvas ref={canvas} style={{ display: 'block', width, height }} />
    </div>
  )
}
