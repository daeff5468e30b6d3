// Brings the chosen line of a long table into view when it was chosen from elsewhere.

import { type RefObject, useEffect, useRef } from 'react'

interface Rows {
  /** Place of the chosen line, -1 for none. */
  readonly place: number
  readonly rowPx: number
  readonly headingPx: number
}

/** A line of which a part is seen stays where it is, so that nothing moves under the mouse. */
export function useRowInView({ place, rowPx, headingPx }: Rows): RefObject<HTMLDivElement | null> {
  const scroller = useRef<HTMLDivElement>(null)
  useEffect(() => {
    const element = scroller.current
    if (element === null || place === -1) return
    const top = place * rowPx
    const seenPx = element.clientHeight - headingPx
    if (top + rowPx <= element.scrollTop) element.scrollTop = top
    else if (top >= element.scrollTop + seenPx) element.scrollTop = top + rowPx - seenPx
  }, [place, rowPx, headingPx])
  return scroller
}
