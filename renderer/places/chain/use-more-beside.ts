// Whether a scrolled element has hidden content to the left and to the right.

import { type RefObject, useLayoutEffect, useState } from 'react'

export interface MoreBeside {
  readonly left: boolean
  readonly right: boolean
}

export function useMoreBeside(element: RefObject<HTMLElement | null>): MoreBeside {
  const [more, setMore] = useState<MoreBeside>({ left: false, right: false })
  useLayoutEffect(() => {
    const scrolled = element.current
    if (scrolled === null) return
    const look = (): void => {
      const left = scrolled.scrollLeft > 1
      const right = scrolled.scrollLeft + scrolled.clientWidth < scrolled.scrollWidth - 1
      setMore((now) => (now.left === left && now.right === right ? now : { left, right }))
    }
    look()
    const observer = new ResizeObserver(look)
    observer.observe(scrolled)
    for (const child of scrolled.children) observer.observe(child)
    scrolled.addEventListener('scroll', look, { passive: true })
    return () => {
      observer.disconnect()
      scrolled.removeEventListener('scroll', look)
    }
  }, [element])
  return more
}
