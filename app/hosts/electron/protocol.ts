// The custom scheme that the window is loaded from. This process answers it, without a server.

import { protocol, type Session } from 'electron'
import type { WindowAnswers } from '../window-answers.ts'

const SCHEME = 'takeloft'
/** The origin of the window’s page. */
export const WINDOW_ORIGIN = `${SCHEME}://window`

/** Gives the scheme an origin, storage, fetch and streams, like https. Must run before Electron is ready. */
export function registerWindowScheme(): void {
  protocol.registerSchemesAsPrivileged([
    { scheme: SCHEME, privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true } },
  ])
}

/** Answers requests of this session's window; other hosts of the scheme get a 404. */
export function answerWindow(
  { protocol }: Session,
  answers: WindowAnswers,
  logUnexpected: (error: unknown) => void,
): void {
  protocol.handle(SCHEME, async (request) => {
    if (!request.url.startsWith(`${WINDOW_ORIGIN}/`)) return new Response('Not found\n', { status: 404 })
    try {
      return await answers(request)
    } catch (error) {
      logUnexpected(error)
      return new Response(null, { status: 500 })
    }
  })
}

/** Removes the handler, because a session accepts no second one. */
export const leaveUnanswered = ({ protocol }: Session): void => protocol.unhandle(SCHEME)

/** Where the page is that is printed to PDF: a host of its own, and so another origin than the window's. */
export const SHEET_URL = `${SCHEME}://sheet/recall.html`

/** Answers a session with one page and nothing else. */
export function answerSheet({ protocol }: Session, html: string): void {
  protocol.handle(SCHEME, (request) =>
    request.url === SHEET_URL
      ? new Response(html, { headers: { 'content-type': 'text/html; charset=utf-8' } })
      : new Response('Not found\n', { status: 404 }),
  )
}
