// Where a line of the ledger leads. Pure.

import type { LedgerEntry } from '../../../app/contract/entities.ts'

type Of<K extends LedgerEntry['kind']> = Extract<LedgerEntry, { kind: K }>

/** What opens when a line is opened. */
export type EntryTarget =
  | {
      readonly to: 'version'
      readonly chainId: number
      readonly chainVersionId: number
      readonly sessionId: number | null
    }
  | { readonly to: 'take'; readonly takeId: number; readonly sessionId: number }
  | { readonly to: 'bounce'; readonly bounceId: number }
  | { readonly to: 'delivery'; readonly delivery: Of<'delivered'> }
  | { readonly to: 'session'; readonly sessionId: number }
  | { readonly to: 'book'; readonly voiceId: number }

const session = (sessionId: number | null): EntryTarget | null =>
  sessionId === null ? null : { to: 'session', sessionId }
const book = (voiceId: number | null): EntryTarget | null =>
  voiceId === null ? null : { to: 'book', voiceId }

/** null only where what the line is about is gone, or a take is in no session. */
export function targetOf(entry: LedgerEntry): EntryTarget | null {
  switch (entry.kind) {
    case 'chain-version-saved': {
      const { chainId, chainVersionId, sessionId } = entry
      return { to: 'version', chainId, chainVersionId, sessionId }
    }
    case 'take-imported':
    case 'take-checked': {
      const { takeId, sessionId } = entry
      return sessionId === null ? null : { to: 'take', takeId, sessionId }
    }
    case 'bounced':
      return { to: 'bounce', bounceId: entry.bounceId }
    case 'delivered':
      return { to: 'delivery', delivery: entry }
    case 'session-created':
    case 'archived':
    case 'restored':
      return session(entry.sessionId)
    case 'song-created':
      return session(entry.newestSessionId)
    case 'artist-created':
    case 'voice-created':
    case 'entity-changed':
    case 'history-merged':
      return book(entry.voiceId)
  }
}
