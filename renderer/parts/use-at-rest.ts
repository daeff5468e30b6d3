// Debouncing of a value.

import { useEffect, useState } from 'react'

/** The value once it has not changed for `restMs` milliseconds; the value before until then. */
export function useAtRest<T>(value: T, restMs: number): T {
  const [settled, setSettled] = useState(value)
  useEffect(() => {
    const timer = window.setTimeout(() => setSettled(value), restMs)
    return () => clearTimeout(timer)
  }, [value, restMs])
  return settled
}
