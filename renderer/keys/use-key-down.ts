// Listens for keys anywhere in the window.

import { useEffect, useRef } from 'react'

/**
 * Calls `onKeyDown` for every key pressed in the window, in the capture phase: before the focused control,
 * which may act on the key or stop the event.
 */
export function useKeyDown(onKeyDown: (event: KeyboardEvent) => void): void {
  const latest = useRef(onKeyDown)
  latest.current = onKeyDown
  useEffect(() => {
    const listener = (event: KeyboardEvent): void => latest.current(event)
    window.addEventListener('keydown', listener, { capture: true })
    return () => window.removeEventListener('keydown', listener, { capture: true })
  }, [])
}
