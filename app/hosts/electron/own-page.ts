// Who may ask this program for anything: the window's own page, in its own frame.

import type { WebContents } from 'electron'
import { WINDOW_ORIGIN } from './protocol.ts'

/** Not a frame inside the page, and no page from elsewhere. */
export const isOwnPage = (contents: WebContents, senderFrame: WebContents['mainFrame'] | null): boolean =>
  senderFrame !== null && senderFrame === contents.mainFrame && senderFrame.origin === WINDOW_ORIGIN
