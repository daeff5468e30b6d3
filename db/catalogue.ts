// The catalogue: all data of the program in one SQLite file. This file opens it and offers named queries
// grouped by subject; SQLite errors become Failures of the contract.

import { resolve } from 'node:path'
import type { Database } from 'better-sqlite3'
import { Failure } from '../app/contract/failure.ts'
import { damageFailure } from './care/damage.ts'
import { type FileWatch, watchFile } from './care/file-watch.ts'
import type { Migration } from './care/migrate.ts'
import { newerVersionFailure, openDatabase } from './care/open-database.ts'
import type { ReadClock } from './care/sql-functions.ts'
import { sqliteCodeOf, withFailures } from './care/sqlite-failures.ts'
import { migrations as allMigrations } from './migrations/migrations.ts'
import { type ArtistQueries, artistQueries } from './tables/artists.ts'
import { type EverythingSearchQueries, everythingSearchQueries } from './tables/book/everything-search.ts'
import { type VoiceHistoryQueries, voiceHistoryQueries } from './tables/book/voice-history.ts'
import { type BounceQueries, bounceQueries } from './tables/bounces.ts'
import { type ChainDraftQueries, chainDraftQueries } from './tables/chain-drafts.ts'
import { type ChainQueries, chainQueries } from './tables/chains.ts'
import { type CurveQueries, curveQueries } from './tables/curves.ts'
import { type EntityChangeQueries, entityChangeQueries } from './tables/entity-changes.ts'
import { type DeliveryQueries, deliveryQueries } from './tables/exchange/deliveries.ts'
import { type FoundTakeQueries, foundTakeQueries } from './tables/found-takes.ts'
import { type GroupQueries, groupQueries } from './tables/groups.ts'
import { type HistoryRowQueries, historyRowQueries } from './tables/identity/history-rows.ts'
import { type IdentityQueries, identityQueries } from './tables/identity/identities.ts'
import { type ArchiveQueries, archiveQueries } from './tables/keeping/archives.ts'
import { type TakeCheckQueries, takeCheckQueries } from './tables/keeping/take-checks.ts'
import { type LayerQueries, layerQueries } from './tables/layers.ts'
import { type LedgerQueries, ledgerQueries } from './tables/ledger.ts'
import { type MicQueries, micQueries } from './tables/mics.ts'
import { type SectionQueries, sectionQueries } from './tables/sections/sections.ts'
import { type SessionQueries, sessionQueries } from './tables/sessions.ts'
import { type SongQueries, songQueries } from './tables/songs.ts'
import { type TakeQueries, takeQueries } from './tables/takes.ts'
import { type VoiceQueries, voiceQueries } from './tables/voices.ts'

/** `get` throws the Failure `not-found`; `find…`, `first…` and `latest…` give undefined. */
export interface Catalogue {
  /** Absolute path of the file. */
  readonly path: string
  readonly artists: ArtistQueries
  readonly voices: VoiceQueries
  readonly mics: MicQueries
  readonly curves: CurveQueries
  readonly songs: SongQueries
  readonly sessions: SessionQueries
  readonly takes: TakeQueries
  readonly foundTakes: FoundTakeQueries
  readonly groups: GroupQueries
  readonly layers: LayerQueries
  readonly sections: SectionQueries
  readonly chains: ChainQueries
  readonly chainDrafts: ChainDraftQueries
  readonly bounces: BounceQueries
  readonly deliveries: DeliveryQueries
  readonly ledger: LedgerQueries
  readonly entityChanges: EntityChangeQueries
  readonly identities: IdentityQueries
  readonly historyRows: HistoryRowQueries
  readonly takeChecks: TakeCheckQueries
  readonly archives: ArchiveQueries
  readonly voiceHistory: VoiceHistoryQueries
  readonly everythingSearch: EverythingSearchQueries
  /** Commits all writes of `act` or none; `act` must be synchronous. A nested transaction can fail alone. */
  transaction<T>(act: () => T): T
  close(): void
}

/**
 * Opens the catalogue at `path`, creates the file if there is none, and migrates an older one to the
 * newest version after keeping a copy beside it.
 * @param readClock dates changes of names and settings; the system's clock if omitted
 * @throws Failure `newer-version`, `catalogue-damaged`, `catalogue-busy`, `not-writable`, `disk-full`,
 *   `not-readable`, `not-found` (no such folder), `invalid-input` (not a catalogue's file)
 */
export function openCatalogue(
  path: string,
  migrations: readonly Migration[] = allMigrations,
  readClock?: ReadClock,
): Catalogue {
  const file = resolve(path)
  refuseTrimmedName(file)
  const db = withFailures(file, () => openDatabase(file, migrations, readClock))
  try {
    return catalogueOn(db, file, watchFile(db, file))
  } catch (error) {
    db.close()
    throw error
  }
}

/** better-sqlite3 trims file names, and would open or create the file with the shorter name. */
function refuseTrimmedName(file: string): void {
  // An absolute path cannot begin with a space.
  if (file.trimEnd() === file) return
  throw new Failure(
    'invalid-input',
    `The file name of the catalogue “${file}” ends in a space; rename the file so that it does not.`,
    { path: file },
  )
}

function catalogueOn(db: Database, path: string, watch: FileWatch): Catalogue {
  const totalChanges = db.prepare<[], number>('SELECT total_changes()').pluck()
  const version = db.prepare<[], number>('PRAGMA user_version').pluck()
  const opened = version.get() ?? 0
  /** A newer Takeloft may have migrated the file while this one has it open. */
  const refuseNewer = (): void => {
    const now = version.get() ?? 0
    if (now > opened) throw newerVersionFailure(path, now, opened)
  }
  /** Runs one call. After a write, makes sure that the file is still the catalogue's. */
  const call = <T>(act: () => T): T =>
    withFailures(path, () => {
      if (db.inTransaction) return act()
      refuseNewer()
      watch.look()
      const before = totalChanges.get()
      const result = act()
      if (totalChanges.get() !== before) watch.refuseGone()
      return result
    })
  const guarded = <S extends object>(prepare: (db: Database) => S): S => {
    const acts = Object.entries(withFailures(path, () => prepareAll(db, path, prepare)))
    return Object.fromEntries(
      acts.map(([name, act]) => [name, (...input: unknown[]) => call(() => act(...input))]),
    ) as S
  }
  return {
    path,
    artists: guarded(artistQueries),
    voices: guarded(voiceQueries),
    mics: guarded(micQueries),
    curves: guarded(curveQueries),
    songs: guarded(songQueries),
    sessions: guarded(sessionQueries),
    takes: guarded(takeQueries),
    foundTakes: guarded(foundTakeQueries),
    groups: guarded(groupQueries),
    layers: guarded(layerQueries),
    sections: guarded(sectionQueries),
    chains: guarded(chainQueries),
    chainDrafts: guarded(chainDraftQueries),
    bounces: guarded(bounceQueries),
    deliveries: guarded(deliveryQueries),
    ledger: guarded(ledgerQueries),
    entityChanges: guarded(entityChangeQueries),
    identities: guarded(identityQueries),
    historyRows: guarded(historyRowQueries),
    takeChecks: guarded(takeCheckQueries),
    archives: guarded(archiveQueries),
    voiceHistory: guarded(voiceHistoryQueries),
    everythingSearch: guarded(everythingSearchQueries),
    transaction: (act) => call(() => db.transaction(act).immediate()),
    close: () => {
      db.close()
    },
  }
}

/** Preparing the queries fails if the file lacks a table that its version should have. */
function prepareAll<S>(db: Database, path: string, prepare: (db: Database) => S): S {
  try {
    return prepare(db)
  } catch (error) {
    if (sqliteCodeOf(error) !== 'SQLITE_ERROR') throw error
    throw damageFailure((error as Error).message, path)
  }
}
