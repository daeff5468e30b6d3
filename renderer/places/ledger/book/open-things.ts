// Opens sessions, takes and books from the Ledger.

import { goTo, selectSession, selectTake } from '../../../state/selection.ts'
import { showBookOf, showLedgerView } from './book-desk.ts'

/** Opens a session in Stack. */
export function openSession(sessionId: number): void {
  selectSession(sessionId)
  goTo('stack')
}

/** Opens a take in Intake, in a session that has it. */
export function openTake(sessionId: number, takeId: number): void {
  selectSession(sessionId)
  selectTake(takeId)
  goTo('intake')
}

/** Opens the book of a voice. */
export function openBook(voiceId: number): void {
  showBookOf(voiceId)
  showLedgerView('book')
}
