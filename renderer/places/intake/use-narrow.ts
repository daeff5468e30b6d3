// Whether the window is narrow, for layout that is not set in style sheets.

import { useSyncExternalStore } from 'react'

/** The same breakpoint as in the style sheets. */
const narrow = window.matchMedia('(max-width: 1180px)')

/** True while the window is at most 1180 px wide. */
export const useNarrow = (): boolean =>
  useSyncExternalStore(
    (watcher) => {
      narrow.addEventListener('change', watcher)
      return () => narrow.removeEventListener('change', watcher)
    },
    () => narrow.matches,
  )
