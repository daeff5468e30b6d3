// What a window remembers, and where its requests go: each catalogue has a session of its own, so
// that neither the choices of two windows nor their sound are mixed up.

import { type Session, session } from 'electron'
import type { WindowAnswers } from '../window-answers.ts'
import { answerWindow, leaveUnanswered } from './protocol.ts'

export interface WindowSession {
  readonly session: Session
  /** Answers no more requests. */
  end(): void
}

/** @param name kept on the disk under this name */
export function openWindowSession(
  name: string,
  answers: WindowAnswers,
  logUnexpected: (error: unknown) => void,
): WindowSession {
  const own = session.fromPartition(`persist:${name}`)
  own.setPermissionRequestHandler((_contents, _permission, answer) => answer(false))
  own.setPermissionCheckHandler(() => false)
  own.setDevicePermissionHandler(() => false)
  // Files are saved by the system's dialog (save-dialog.ts), which the page asks for.
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
