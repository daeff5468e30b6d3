// Height of the window in px, for elements that grow with it.

import { useSyncExternalStore } from 'react'

const watch = (watcher: () => void): (() => void) => {
  window.addEventListener('resize', watcher)
  return () => window.removeEventListener('resize', watcher)
}

export const useWindowHeight = (): number => useSyncExternalStore(watch, () => window.innerHeight)
