// Width of the window, for layout that is not set in style sheets.

import { useSyncExternalStore } from 'react'

/** In CSS pixels. */
export const useWindowWidth = (): number =>
  useSyncExternalStore(
    (watcher) => {
      window.addEventListener('resize', watcher)
      return () => window.removeEventListener('resize', watcher)
    },
    () => window.innerWidth,
  )
