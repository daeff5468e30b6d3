// What the sessions of a voice show in common, in plain words: no cause, and no advice but to listen.

import type { BookChange, BookSession } from '../../../app/contract/book/voice-book.ts'
import { formatDate } from '../../../app/words/format.ts'
import { FIGURE_WORDS, formatDifference } from './figure-words.ts'

export function changeSentence(change: BookChange, sessions: readonly BookSession[]): string {
  const { name } = FIGURE_WORDS[change.figure]
  if (change.kind === 'trend') {
    const way = change.change > 0 ? 'rises' : 'falls'
    const within = change.withinMics ? ', compared only within each mic' : ''
    return `${name} ${way} by ${formatDifference(change.figure, change.change)} over ${change.sessions} sessions${within}.`
  }
  const since = sessions[change.since]
  const way = change.difference > 0 ? 'higher' : 'lower'
  return `${name} is ${formatDifference(change.figure, change.difference)} ${way} since ${formatDate(since.date)} (${since.songTitle}) than before, over ${change.sessions} sessions.`
}

/** Said in place of changes that the sessions do not show. */
export const noChangeWords = (sessions: number): string =>
  sessions < 7
    ? 'Changes over time are said from seven sessions on.'
    : 'No change over time is clear enough to be said; the picture shows what was measured.'
