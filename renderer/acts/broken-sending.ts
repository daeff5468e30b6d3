// An import whose page is loaded again while it still sends files is broken off: the page after it says so. Once the
// files are sent, the import belongs to the program and goes on.

import { reportFailure } from '../state/notices.ts'

/** Of this tab alone; what a tab stores for its session survives a reload. */
const SENDING_ITEM = 'takeloft.sending'

/**
 * @param title of the import, as it is shown while it runs
 * @returns ends the note; gives whether all was sent with the page still there. A page that goes still runs for a
 *   moment after its requests have failed, and must not import what was sent by then.
 */
export function noteSending(title: string): () => boolean {
  let isLeaving = false
  const leave = (): void => {
    isLeaving = true
  }
  window.addEventListener('pagehide', leave)
  sessionStorage.setItem(SENDING_ITEM, title)
  return () => {
    window.removeEventListener('pagehide', leave)
    if (!isLeaving) sessionStorage.removeItem(SENDING_ITEM)
    return !isLeaving
  }
}

/** Called once for each page. */
export function reportBrokenSending(): void {
  const title = sessionStorage.getItem(SENDING_ITEM)
  if (title === null) return
  sessionStorage.removeItem(SENDING_ITEM)
  reportFailure(
    `${title} did not finish`,
    new Error('The window was loaded again before all files were sent; import them again.'),
  )
}
