// Records which page opened which playbacks: a playback ends with its page, and no other page can use it.

import type { CallContext } from '../../contract/wire/commands.ts'

type Page = CallContext['page']

/**
 * A page plays one thing at a time and opens the next one before it has closed the last. Each open playback
 * keeps its takes open and renders ahead, so a page that forgets to close them loses the oldest.
 */
const MOST_OF_A_PAGE = 4

/** Open playbacks and their pages. */
export interface PlaybackOwners {
  /** Adds a playback until it is closed or its page ends. Closes the page's oldest one if it has too many. */
  add(playbackId: string, page: Page): void
  /** Whether a playback is open and belongs to this page. */
  has(playbackId: string, page: Page): boolean
  /** Resolves once the playback is closed; does nothing if it is closed already. */
  close(playbackId: string): Promise<void>
}

/** @param close closes a playback that is open; does not throw */
export function createPlaybackOwners(close: (playbackId: string) => Promise<void>): PlaybackOwners {
  /** Oldest first. */
  const pages = new Map<string, Page>()
  const heardPages = new WeakSet<AbortSignal>()
  const ofPage = (page: Page): string[] => [...pages].filter(([, one]) => one === page).map(([id]) => id)
  const end = async (playbackId: string): Promise<void> => {
    if (pages.delete(playbackId)) await close(playbackId)
  }

  return {
    add(playbackId, page) {
      if (page !== undefined && !heardPages.has(page)) {
        heardPages.add(page)
        page.addEventListener('abort', () => void Promise.all(ofPage(page).map(end)), { once: true })
      }
      const [oldest, ...others] = ofPage(page)
      if (others.length + 1 >= MOST_OF_A_PAGE) void end(oldest)
      pages.set(playbackId, page)
    },
    has: (playbackId, page) => pages.has(playbackId) && pages.get(playbackId) === page,
    close: end,
  }
}
