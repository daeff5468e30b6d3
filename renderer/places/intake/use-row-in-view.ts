// Scrolls the selected row of a long table into view when it was selected from elsewhere, when the rows change
// their order, and when the table becomes smaller. Keeps the scroll position of each session.

import { type RefObject, useEffect, useLayoutEffect, useRef } from 'react'

interface Rows {
  /** Index of the selected row; -1 for none. */
  readonly place: number
  /** What the row shows; another one may come to the same place. */
  readonly key: number | null
  /** Whether the selection came from a press on the row, which must not move under the pointer. */
  readonly isPressed: () => boolean
  readonly rowPx: number
  readonly headingPx: number
  /** Where the table is scrolled to when it appears. */
  readonly startPx: number
  readonly onScroll: (scrollPx: number) => void
}

/** @returns a ref for the element that scrolls */
export function useRowInView(rows: Rows): RefObject<HTMLDivElement | null> {
  const scroller = useRef<HTMLDivElement>(null)
  const latest = useRef(rows)
  latest.current = rows

  useLayoutEffect(() => {
    const element = scroller.current
    if (element === null) return
    element.scrollTop = latest.current.startPx
    const onScroll = (): void => latest.current.onScroll(element.scrollTop)
    element.addEventListener('scroll', onScroll, { passive: true })
    const observer = new ResizeObserver(() =>
      bringIntoView(element, { ...latest.current, isPressed: () => false }),
    )
    observer.observe(element)
    return () => {
      element.removeEventListener('scroll', onScroll)
      observer.disconnect()
    }
  }, [])

  const { place, key } = rows
  // biome-ignore lint/correctness/useExhaustiveDependencies: another row at the same place counts as well
  useEffect(() => {
    if (scroller.current !== null && place !== -1) bringIntoView(scroller.current, latest.current)
  }, [place, key])
  return scroller
}

function bringIntoView(element: HTMLElement, { place, isPressed, rowPx, headingPx }: Rows): void {
  if (place === -1) return
  const top = place * rowPx
  const seenPx = element.clientHeight - headingPx
  if (seenPx < rowPx) return
  const hiddenBelow = top + rowPx - (element.scrollTop + seenPx)
  if (top < element.scrollTop) {
    if (!isPressed() || top + rowPx <= element.scrollTop) element.scrollTop = top
  } else if (hiddenBelow > 0 && (!isPressed() || hiddenBelow >= rowPx)) {
    element.scrollTop = top + rowPx - seenPx
  }
}
