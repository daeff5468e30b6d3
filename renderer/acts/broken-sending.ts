// Reports an import that was interrupted because its page was reloaded while it was still sending files. Once
// the files are sent, the import runs in the program and survives a reload.

import { reportFailure } from '../state/notices.ts'

/** Key in sessionStorage, which belongs to one tab and survives a reload. */
const SENDING_ITEM = 'takeloft.sending'

/**
 * @param title of the import, as it is shown while it runs
 * @returns a function to call after sending: it removes the note and returns true, unless the page is being
 *   unloaded. Such a page still runs for a moment after its requests have failed, and must not import what
 *   was sent by then.
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

/** Call once per page load. */
export function reportBrokenSending(): void {
  const title = sessionStorage.getItem(SENDING_ITEM)
  if (title === null) return
  sessionStorage.removeItem(SENDING_ITEM)
  reportFailure(
    `${title} did not finish`,
    new Error('The window was loaded again before all files were sent; import them again.'),
  )
}
