// Ctrl or Cmd with the wheel, and a pinch, zoom the sheet; the wheel alone scrolls it.

import { type RefObject, useEffect, useRef } from 'react'

/** How much one notch of a common wheel (about 100 px) zooms. */
const FACTOR_PER_NOTCH = 1.25

/** Calls `zoom` with a factor: above 1 zooms in. */
export function useWheelZoom(sheet: RefObject<HTMLElement | null>, zoom: (factor: number) => void): void {
  const latest = useRef(zoom)
  useEffect(() => {
    latest.current = zoom
  })
  useEffect(() => {
    const element = sheet.current!
    const onWheel = (event: WheelEvent): void => {
      if (!event.ctrlKey && !event.metaKey) return
      // Otherwise the browser would zoom the page.
      event.preventDefault()
      latest.current(FACTOR_PER_NOTCH ** (-event.deltaY / 100))
    }
    element.addEventListener('wheel', onWheel, { passive: false })
    return () => element.removeEventListener('wheel', onWheel)
  }, [sheet])
}
