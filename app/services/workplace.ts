// What every act works with: the catalogue, the threads, the folders and the clock.

import { existsSync } from 'node:fs'
import { dirname, join, resolve, sep } from 'node:path'
import { type Catalogue, openCatalogue } from '../../db/catalogue.ts'
import type { EventName, EventOf } from '../contract/wire/commands.ts'
import type { Subscribe } from '../contract/wire/serve.ts'
import { ensureFolder, PRIVATE_FOLDER_MODE } from '../files/ensure-folder.ts'
import { sweepUnfinished } from '../files/unfinished.ts'
import { createPlaybackThread, type PlaybackThread } from '../workers/playback-thread.ts'
import { createPool, type Pool } from '../workers/pool.ts'
import { type BackgroundTasks, createBackgroundTasks } from './background-tasks.ts'
import { refuseInsideKept } from './bounces/delivery-folder.ts'
import { createKeptSongs, type KeptSongs } from './chains/kept-songs.ts'
import { createRowCache, type RowCache } from './chains/row-cache.ts'
import { type CorrectionFitter, createCorrectionFitter } from './mics/correction-fitter.ts'
import { createSentFiles, type SentFiles } from './takes/sent-files.ts'
import { createVerifiedFiles, type VerifiedFiles } from './takes/verified-files.ts'

interface Folders {
  /** Peaks, print and note of verification of each take, and rows along the song; can be made again from the takes. */
  readonly peaks: string
  /** PCM working copies of compressed takes; can be made again from the takes. */
  readonly working: string
  /**
   * Files sent by a browser, which does not expose paths. Those that have become takes are originals and are
   * never deleted.
   */
  readonly incoming: string
  /** Pictures that curves were traced from, named by their hash. These are originals too. */
  readonly pictures: string
  /** Default folder for bounces. */
  readonly bounces: string
  /** Default folder for archives. */
  readonly archives: string
}

/**
 * Prints a self-contained HTML page to PDF.
 * @throws Failure
 */
export type PrintToPdf = (html: string, signal: AbortSignal) => Promise<Uint8Array>

/** An open catalogue with its threads, folders, clock and events. */
export interface Workplace {
  readonly catalogue: Catalogue
  readonly folders: Folders
  readonly pool: Pool
  /** One thread, started on first use, that keeps the prints of a session in memory. */
  readonly printPool: Pool
  readonly playback: PlaybackThread
  readonly fitter: CorrectionFitter
  /** Rows along the song of the chains that were measured last. */
  readonly songRows: RowCache
  /** The same of earlier runs of the program. */
  readonly keptSongs: KeptSongs
  readonly backgroundTasks: BackgroundTasks
  readonly sentFiles: SentFiles
  readonly verifiedFiles: VerifiedFiles
  /** null where no window of the program's own can print: on the command line and in a browser. */
  readonly printToPdf: PrintToPdf | null
  /**
   * Time of the act, ISO 8601: that of the clock, but always after the newest entry of the ledger. The ledger
   * and every other newest-first list is sorted by time, so an entry made after the clock was set back would
   * otherwise be listed below older ones.
   */
  now(): string
  /** Shows a warning that belongs to no call, in windows that are open and in those that open later. */
  warn(message: string): void
  readonly warnings: readonly string[]
  emit<E extends EventName>(name: E, data: EventOf<E>): void
  readonly subscribe: Subscribe
  /** Cancels background tasks, waits for them and closes everything. Further calls do nothing. */
  close(): Promise<void>
}

/**
 * Opens or creates the catalogue at `path` and the folders beside it.
 * @throws Failure of the catalogue, and as ensureFolder
 */
export function openWorkplace(
  path: string,
  readClock: () => string = () => new Date().toISOString(),
  printToPdf: PrintToPdf | null = null,
): Workplace {
  const cataloguePath = resolve(path)
  if (!existsSync(cataloguePath)) refuseInsideKept(cataloguePath)
  ensureFolder(dirname(cataloguePath))
  const catalogue = openCatalogue(cataloguePath, undefined, readClock)
  sweepUnfinished(takesBelow(catalogue), catalogue.path)
  const folders = foldersBeside(cataloguePath)
  const pool = createPool()
  let printPool: Pool | undefined
  const playback = createPlaybackThread()
  const listeners = new Set<Parameters<Subscribe>[0]>()
  const warnings: string[] = []
  const backgroundTasks = createBackgroundTasks()
  const sentFiles = createSentFiles((path) => takesBelow(catalogue)(path))
  const emit: Workplace['emit'] = (name, data) => {
    for (const hear of listeners) hear(name, data)
  }
  const verifiedFiles = createVerifiedFiles(pool, folders.peaks, () =>
    emit('catalogueChanged', { subjects: ['takes', 'stack'] }),
  )
  const keptSongs = createKeptSongs(folders.peaks, () => playback.isInUse())
  let closed: Promise<void> | null = null
  const close = async (): Promise<void> => {
    // First, because a thread that is stopped while it writes leaves its file behind.
    await backgroundTasks.cancelAll()
    await Promise.all([pool.close(), printPool?.close(), playback.close()])
    sentFiles.end()
    keptSongs.flush()
    catalogue.close()
  }
  return {
    catalogue,
    folders,
    pool,
    get printPool() {
      printPool ??= createPool(1)
      return printPool
    },
    playback,
    fitter: createCorrectionFitter(),
    songRows: createRowCache(),
    keptSongs,
    backgroundTasks,
    sentFiles,
    verifiedFiles,
    printToPdf,
    now: () => laterOf(readClock(), catalogue.ledger.newestTime()),
    warnings,
    warn(message) {
      // A failure that repeats every hour is reported once.
      if (warnings.includes(message)) return
      warnings.push(message)
      for (const hear of listeners) hear('warning', { message })
    },
    emit,
    subscribe(hear) {
      listeners.add(hear)
      return () => listeners.delete(hear)
    },
    close() {
      closed ??= close()
      return closed
    },
  }
}

/** The clock's time, or the first moment after the newest entry. */
function laterOf(clock: string, newest: string | null): string {
  if (newest === null || clock > newest) return clock
  const next = new Date(Date.parse(newest) + 1)
  return Number.isNaN(next.getTime()) ? clock : next.toISOString()
}

/** Whether a take is at or below a path: files left by a killed program may have been imported since. */
function takesBelow(catalogue: Catalogue): (path: string) => boolean {
  const root = dirname(catalogue.path)
  let places: readonly string[] | null = null
  return (path) => {
    places ??= catalogue.takes.listPlaces().map((place) => resolve(root, place.path))
    return places.some((place) => place === path || place.startsWith(path + sep))
  }
}

function foldersBeside(cataloguePath: string): Folders {
  const root = dirname(cataloguePath)
  const folders = {
    peaks: join(root, 'peaks'),
    working: join(root, 'working copies'),
    incoming: join(root, 'incoming'),
    pictures: join(root, 'pictures'),
    bounces: join(root, 'bounces'),
    archives: join(root, 'archives'),
  }
  for (const folder of [folders.peaks, folders.working]) ensureFolder(folder, PRIVATE_FOLDER_MODE)
  return folders
}
