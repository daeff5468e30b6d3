// The scheme that the window is loaded from: answered in this process, by no server.

import { protocol, type Session } from 'electron'
import type { WindowAnswers } from '../window-answers.ts'

const SCHEME = 'takeloft'
/** The origin of the window’s page. */
export const WINDOW_ORIGIN = `${SCHEME}://window`

/** Has to run before Electron is ready: gives the scheme an origin, storage, fetch and streams, like https. */
export function registerWindowScheme(): void {
  protocol.registerSchemesAsPrivileged([
    { scheme: SCHEME, privileges: { standard: true, secure: true, supportFetchAPI: true, stream: true } },
  ])
}

/** Answers requests of this session's window; any other host of the scheme is not found. */
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

/** A session that already has a handler accepts no second one. */
export const leaveUnanswered = ({ protocol }: Session): void => protocol.unhandle(SCHEME)
