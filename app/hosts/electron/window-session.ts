// The Electron session of a window: its stored choices and the handler of its requests. Each catalogue
// has its own session, so that two windows share neither.

import { type Session, session } from 'electron'
import type { WindowAnswers } from '../window-answers.ts'
import { answerWindow, leaveUnanswered } from './protocol.ts'

/** The browser session of a window. */
export interface WindowSession {
  readonly session: Session
  /** Stops answering requests. */
  end(): void
}

/** @param name the session is stored on disk under this name */
export function openWindowSession(
  name: string,
  answers: WindowAnswers,
  logUnexpected: (error: unknown) => void,
): WindowSession {
  const own = session.fromPartition(`persist:${name}`)
  own.setPermissionRequestHandler((_contents, _permission, answer) => answer(false))
  own.setPermissionCheckHandler(() => false)
  own.setDevicePermissionHandler(() => false)
  // Files are saved through the system's dialog instead (save-dialog.ts).
  const refuse = (event: { preventDefault(): void }): void => event.preventDefault()
  own.on('will-download', refuse)
  answerWindow(own, answers, logUnexpected)
  return {
    session: own,
    end() {
      leaveUnanswered(own)
      own.off('will-download', refuse)
    },
  }
}
