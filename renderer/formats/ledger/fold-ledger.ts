// Folds the ledger by session, with imports summed, and searches it. Pure.

import type { LedgerEntry, ListedSession, SessionChain } from '../../../app/contract/entities.ts'
import { type LedgerWords, ledgerWords } from '../../../app/words/ledger.ts'
import { countOf } from '../../../app/words/numbers.ts'

/** Kinds of lines that can be shown alone. */
export const LEDGER_FILTERS = ['sessions', 'takes', 'chains', 'bounces', 'people'] as const
export type LedgerFilter = (typeof LEDGER_FILTERS)[number]

const FILTER_OF: Readonly<Record<LedgerEntry['kind'], LedgerFilter>> = {
  'session-created': 'sessions',
  'take-imported': 'takes',
  'chain-version-saved': 'chains',
  bounced: 'bounces',
  delivered: 'bounces',
  'artist-created': 'people',
  'voice-created': 'people',
  'song-created': 'people',
  'entity-changed': 'people',
  'history-merged': 'chains',
  'take-checked': 'takes',
  archived: 'sessions',
  restored: 'sessions',
}

/** A single entry with its words. */
export interface EntryLine {
  readonly is: 'entry'
  readonly key: string
  readonly entry: LedgerEntry
  readonly words: LedgerWords
}

/** All imports of a session in one line, which opens. */
interface ImportsLine {
  readonly is: 'imports'
  readonly key: string
  /** '18 takes imported' */
  readonly title: string
  /** ISO 8601, of the newest. */
  readonly at: string
  readonly lines: readonly EntryLine[]
}

/** All lines of one session; or of one artist, where they belong to no session. */
export interface LedgerFold {
  readonly is: 'fold'
  readonly key: string
  /** null for lines outside of sessions. */
  readonly session: ListedSession | null
  readonly title: string
  readonly artistName: string
  /** Newest first. */
  readonly lines: readonly (EntryLine | ImportsLine)[]
  readonly entries: number
  /** Chain versions that the session is set to. */
  readonly chains: readonly SessionChain[]
}

export type LedgerRow = LedgerFold | ImportsLine | EntryLine

/**
 * @param entries newest first
 * @param search every word has to occur in a line: its words, its artist or its song
 * @param filter null for all kinds
 * @returns folds in the order of their newest line
 */
export function foldLedger(
  entries: readonly LedgerEntry[],
  sessions: readonly ListedSession[],
  chains: readonly SessionChain[],
  search: string,
  filter: LedgerFilter | null,
): readonly LedgerFold[] {
  const byId = new Map(sessions.map((session) => [session.id, session]))
  const chainsOf = Map.groupBy(chains, ({ sessionId }) => sessionId)
  const wanted = search
    .toLowerCase()
    .split(/\s+/)
    .filter((word) => word !== '')
  const found = new Map<string, { session: ListedSession | null; artistName: string; lines: EntryLine[] }>()
  for (const [index, entry] of entries.entries()) {
    if (filter !== null && FILTER_OF[entry.kind] !== filter) continue
    const session = byId.get(entry.sessionId ?? 0) ?? null
    const words = ledgerWords(entry)
    const text = [
      words.kind,
      words.subject,
      words.detail,
      entry.artistName,
      session?.songTitle,
      session?.date,
    ]
      .join('\n')
      .toLowerCase()
    if (!wanted.every((word) => text.includes(word))) continue
    const key = session === null ? `artist ${entry.artistName}` : `session ${session.id}`
    const fold = found.get(key) ?? { session, artistName: session?.artistName ?? entry.artistName, lines: [] }
    // Counted from the oldest, so that a new entry does not change the keys of the others.
    fold.lines.push({ is: 'entry', key: `entry ${entries.length - index}`, entry, words })
    found.set(key, fold)
  }
  return [...found].map(([key, { session, artistName, lines }]) => ({
    is: 'fold',
    key,
    session,
    title: session?.songTitle ?? 'Outside of sessions',
    artistName,
    lines: sumImports(key, lines),
    entries: lines.length,
    chains: session === null ? [] : (chainsOf.get(session.id) ?? []),
  }))
}

/** Two and more imports become one line, where the newest of them was. */
function sumImports(foldKey: string, lines: readonly EntryLine[]): readonly (EntryLine | ImportsLine)[] {
  const imports = lines.filter(({ entry }) => entry.kind === 'take-imported')
  const [newest] = imports
  if (newest === undefined || imports.length === 1) return lines
  const summed: ImportsLine = {
    is: 'imports',
    key: `imports of ${foldKey}`,
    title: `${countOf(imports.length, 'take')} imported`,
    at: newest.entry.at,
    lines: imports,
  }
  return lines
    .filter((line) => line === newest || line.entry.kind !== 'take-imported')
    .map((line) => (line === newest ? summed : line))
}
