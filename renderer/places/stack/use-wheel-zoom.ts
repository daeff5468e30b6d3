// Zoom with Ctrl or Cmd and the wheel, or by pinching. The wheel alone scrolls.

import { type RefObject, useEffect, useRef } from 'react'

/** Zoom factor for one notch of a typical wheel, about 100 px. */
const FACTOR_PER_NOTCH = 1.25

/** Calls `zoom` with a factor; values above 1 zoom in. */
export function useWheelZoom(sheet: RefObject<HTMLElement | null>, zoom: (factor: number) => void): void {
  const latest = useRef(zoom)
  useEffect(() => {
    latest.current = zoom
  })
  useEffect(() => {
    const element = sheet.current!
    // A wheel sends several events in a frame; they make one zoom.
    let factor = 1
    let request = 0
    const apply = (): void => {
      request = 0
      latest.current(factor)
      factor = 1
    }
    const onWheel = (event: WheelEvent): void => {
      if (!event.ctrlKey && !event.metaKey) return
      // Prevents the browser from zooming the page.
      event.preventDefault()
      factor *= FACTOR_PER_NOTCH ** (-event.deltaY / 100)
      if (request === 0) request = requestAnimationFrame(apply)
    }
    element.addEventListener('wheel', onWheel, { passive: false })
    return () => {
      cancelAnimationFrame(request)
      element.removeEventListener('wheel', onWheel)
    }
  }, [sheet])
}
