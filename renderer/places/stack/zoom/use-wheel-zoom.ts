// Zoom with Ctrl or Cmd and the wheel, or by pinching. The wheel alone scrolls.

import { type RefObject, useEffect, useRef } from 'react'
import { flushSync } from 'react-dom'
import {
  AT_REST,
  MOST_STRETCH,
  setLiveZoom,
  type ZoomBounds,
  type ZoomStart,
  zoomedFrom,
} from './live-zoom.ts'

/** Zoom factor for one notch of a typical wheel, about 100 px. */
const FACTOR_PER_NOTCH = 1.25
/** After this long without a step, the lanes are drawn exactly. */
const REST_MS = 120
/** What is stretched during a gesture. */
const STRETCHED = '.lane-picture'

interface Gesture {
  readonly start: ZoomStart
  readonly stretched: readonly HTMLElement[]
  /** Of all steps so far. */
  factor: number
}

export interface WheelZoom extends ZoomBounds {
  readonly pxPerSecond: number
  /** Renders the lanes at this zoom and place. */
  readonly settle: (to: ZoomStart) => void
}

/** Stretches the lanes with every step, and settles when the gesture rests or the stretch becomes visible. */
export function useWheelZoom(sheet: RefObject<HTMLElement | null>, zoom: WheelZoom): void {
  const latest = useRef(zoom)
  useEffect(() => {
    latest.current = zoom
  })
  useEffect(() => {
    const element = sheet.current!
    let gesture: Gesture | null = null
    // A wheel sends several events in a frame; they make one step.
    let factor = 1
    let request = 0
    let timer = 0

    const begin = (): Gesture => ({
      start: { pxPerSecond: latest.current.pxPerSecond, scrollLeft: element.scrollLeft },
      stretched: [...element.querySelectorAll<HTMLElement>(STRETCHED)],
      factor: 1,
    })
    const settle = (): void => {
      if (gesture === null) return
      const { start, stretched, factor: whole } = gesture
      gesture = null
      // At once, so that no frame shows new drawings under an old stretch.
      flushSync(() => {
        latest.current.settle(zoomedFrom(start, whole, latest.current))
        setLiveZoom(AT_REST)
      })
      for (const one of stretched) one.style.transform = ''
    }
    const apply = (): void => {
      request = 0
      clearTimeout(timer)
      timer = window.setTimeout(settle, REST_MS)
      gesture ??= begin()
      gesture.factor *= factor
      factor = 1
      const { scale, shiftPx } = zoomedFrom(gesture.start, gesture.factor, latest.current)
      // What lies beyond the ends of the zoom is not kept, so that turning back takes effect at once.
      gesture.factor = scale
      if (scale > MOST_STRETCH || scale < 1 / MOST_STRETCH) {
        settle()
        return
      }
      for (const one of gesture.stretched) one.style.transform = `translateX(${shiftPx}px) scaleX(${scale})`
      setLiveZoom({ scale, shiftPx })
    }
    const onWheel = (event: WheelEvent): void => {
      if (!event.ctrlKey && !event.metaKey) return
      // Prevents the browser from zooming the page.
      event.preventDefault()
      factor *= FACTOR_PER_NOTCH ** (-event.deltaY / 100)
      if (request === 0) request = requestAnimationFrame(apply)
    }
    element.addEventListener('wheel', onWheel, { passive: false })
    // Whatever else is done to the lanes needs their true scale.
    element.addEventListener('scroll', settle, { passive: true })
    element.addEventListener('pointerdown', settle, { capture: true })
    return () => {
      cancelAnimationFrame(request)
      clearTimeout(timer)
      setLiveZoom(AT_REST)
      element.removeEventListener('wheel', onWheel)
      element.removeEventListener('scroll', settle)
      element.removeEventListener('pointerdown', settle, { capture: true })
    }
  }, [sheet])
}
