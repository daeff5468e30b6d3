// Size of an element, kept up to date.

import { type RefObject, useLayoutEffect, useRef, useState } from 'react'

/** Inner size in CSS pixels: with padding, without borders and scroll bars. */
export interface Size {
  readonly width: number
  readonly height: number
}

/** @returns a ref for the element, and its size: 0 by 0 before the first layout */
export function useSize<E extends HTMLElement>(): [RefObject<E | null>, Size] {
  const element = useRef<E>(null)
  const [size, setSize] = useState<Size>({ width: 0, height: 0 })
  useLayoutEffect(() => {
    const measured = element.current
    if (measured === null) return
    const measure = (): void => {
      const { clientWidth: width, clientHeight: height } = measured
      setSize((now) => (now.width === width && now.height === height ? now : { width, height }))
    }
    measure()
    const observer = new ResizeObserver(measure)
    observer.observe(measured)
    return () => observer.disconnect()
  }, [])
  return [element, size]
}
