// Debouncing of a value.

import { useEffect, useState } from 'react'

/** @returns the latest value that stayed unchanged for `restMs` milliseconds; at first the initial value */
export function useAtRest<T>(value: T, restMs: number): T {
  const [settled, setSettled] = useState(value)
  useEffect(() => {
    const timer = window.setTimeout(() => setSettled(value), restMs)
    return () => clearTimeout(timer)
  }, [value, restMs])
  return settled
}
