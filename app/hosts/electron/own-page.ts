// Only the window's own page, in its main frame, may send requests to this process.

import type { WebContents } from 'electron'
import { WINDOW_ORIGIN } from './protocol.ts'

/** False for frames inside the page and for pages of other origins. */
export const isOwnPage = (contents: WebContents, senderFrame: WebContents['mainFrame'] | null): boolean =>
  senderFrame !== null && senderFrame === contents.mainFrame && senderFrame.origin === WINDOW_ORIGIN
