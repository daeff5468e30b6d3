// The part of the song that the lanes show. The lanes scroll beside a fixed column; waveforms are
// drawn for the visible part and some space on each side.

import { type RefObject, useCallback, useLayoutEffect, useMemo, useState } from 'react'

/** Rows come and go in steps of this height. */
const ROWS_STEP_PX = 240

/** The drawn range in pixels from the start of the lanes. */
export interface DrawnRange {
  readonly fromPx: number
  readonly toPx: number
}

/** Visible width of the lanes, and the range that is drawn. */
interface LaneViewport extends DrawnRange {
  /** Width of the visible lanes in CSS pixels. */
  readonly width: number
  /** Drawn range from the top of the sheet; rows outside of it are empty. */
  readonly topPx: number
  readonly bottomPx: number
}

interface LaneView {
  readonly viewport: LaneViewport
  /** The same object until it changes, whichever rows are in sight. */
  readonly drawn: DrawnRange
  /** Prepares the drawn range for a scroll position that the next rendering sets. */
  lookAhead(scrollLeft: number): void
}

/** @param corner the cell above the fixed column; both have the same width */
export function useLaneViewport(
  sheet: RefObject<HTMLElement | null>,
  corner: RefObject<HTMLElement | null>,
): LaneView {
  const [viewport, setViewport] = useState<LaneViewport>({
    width: 0,
    fromPx: 0,
    toPx: 0,
    topPx: 0,
    bottomPx: 0,
  })

  const look = useCallback(
    (scrollLeft: number): void => {
      const element = sheet.current!
      const width = Math.max(0, element.clientWidth - corner.current!.offsetWidth)
      // In steps of half the visible width, so that scrolling rarely redraws.
      const step = Math.max(200, Math.ceil(width / 2))
      const first = Math.floor(scrollLeft / step)
      const fromPx = Math.max(0, (first - 1) * step)
      const toPx = (first + 4) * step
      const topPx = (Math.floor(element.scrollTop / ROWS_STEP_PX) - 1) * ROWS_STEP_PX
      const bottomPx =
        (Math.ceil((element.scrollTop + element.clientHeight) / ROWS_STEP_PX) + 1) * ROWS_STEP_PX
      const next = { width, fromPx, toPx, topPx, bottomPx }
      setViewport((now) =>
        Object.entries(next).every(([key, value]) => now[key as keyof LaneViewport] === value) ? now : next,
      )
    },
    [sheet, corner],
  )

  useLayoutEffect(() => {
    const element = sheet.current!
    const lookHere = (): void => look(element.scrollLeft)
    lookHere()
    const observer = new ResizeObserver(lookHere)
    observer.observe(element)
    element.addEventListener('scroll', lookHere, { passive: true })
    return () => {
      observer.disconnect()
      element.removeEventListener('scroll', lookHere)
    }
  }, [sheet, look])

  const { fromPx, toPx } = viewport
  const drawn = useMemo(() => ({ fromPx, toPx }), [fromPx, toPx])
  return { viewport, drawn, lookAhead: look }
}
