// Calls a function at once, and while more calls follow, at most once per interval.

export interface Paced {
  /** Calls now if the interval is over, otherwise at its end. */
  ask(): void
  /** Makes a call that is still due. */
  flush(): void
}

export function paced(act: () => void, intervalMs: number): Paced {
  let timer: ReturnType<typeof setTimeout> | null = null
  let isDue = false
  const run = (): void => {
    isDue = false
    timer = setTimeout(() => {
      timer = null
      if (isDue) run()
    }, intervalMs)
    act()
  }
  return {
    ask() {
      if (timer === null) run()
      else isDue = true
    },
    flush() {
      if (timer !== null) clearTimeout(timer)
      timer = null
      if (isDue) act()
      isDue = false
    },
  }
}
