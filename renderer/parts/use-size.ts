// How large an element is, as it changes.

import { type RefObject, useLayoutEffect, useRef, useState } from 'react'

export interface Size {
  readonly width: number
  readonly height: number
}

export function useSize<E extends HTMLElement>(): [RefObject<E | null>, Size] {
  const element = useRef<E>(null)
  const [size, setSize] = useState<Size>({ width: 0, height: 0 })
  useLayoutEffect(() => {
    const measured = element.current
    if (measured === null) return
    const measure = (): void => setSize({ width: measured.clientWidth, height: measured.clientHeight })
    measure()
    const observer = new ResizeObserver(measure)
    observer.observe(measured)
    return () => observer.disconnect()
  }, [])
  return [element, size]
}
