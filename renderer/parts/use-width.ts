// How wide an element is, as it changes.

import { type RefObject, useLayoutEffect, useRef, useState } from 'react'

export function useWidth<E extends HTMLElement>(): [RefObject<E | null>, number] {
  const element = useRef<E>(null)
  const [width, setWidth] = useState(0)
  useLayoutEffect(() => {
    const measured = element.current
    if (measured === null) return
    setWidth(measured.clientWidth)
    const observer = new ResizeObserver(() => setWidth(measured.clientWidth))
    observer.observe(measured)
    return () => observer.disconnect()
  }, [])
  return [element, width]
}
