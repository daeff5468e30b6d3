// Snapshots: whole copies of a catalogue in a folder beside it, the way back from damage.

import { createHash } from 'node:crypto'
import { readdirSync, statSync } from 'node:fs'
import { basename, dirname, extname, join } from 'node:path'
import type { Database } from 'better-sqlite3'
import { ensureFolder, PRIVATE_FOLDER_MODE } from '../../app/files/ensure-folder.ts'
import { setAside } from '../../app/files/new-folder.ts'
import { createFileBy } from '../../app/files/written-by-others.ts'

export interface Snapshot {
  readonly path: string
  /** ISO 8601, UTC. */
  readonly at: string
  /** Tells whether the catalogue has changed since. */
  readonly fingerprint: string
  readonly sizeBytes: number
}

/** Of each span the newest snapshot is kept. Common practice for backups: dense at first, then thinner. */
const KEPT: readonly (readonly [spanS: number, count: number])[] = [
  [3600, 24],
  [24 * 3600, 7],
  [7 * 24 * 3600, 5],
  [30 * 24 * 3600, 12],
]

const FILE_NAME = /^(\d{4}-\d\d-\d\d)T(\d\d)\.(\d\d)\.(\d\d)Z-([0-9a-f]{16})\.sqlite$/

/** Folder of the snapshots of the catalogue at `path`. */
export const snapshotFolder = (path: string): string =>
  join(dirname(path), `${basename(path, extname(path))} snapshots`)

/** Newest first. */
export function listSnapshots(path: string): Snapshot[] {
  const folder = snapshotFolder(path)
  return namesIn(folder)
    .flatMap((name) => {
      const [, day, hours, minutes, seconds, fingerprint] = FILE_NAME.exec(name) ?? []
      if (fingerprint === undefined) return []
      const path = join(folder, name)
      const sizeBytes = statSync(path, { throwIfNoEntry: false })?.size ?? 0
      return [{ path, at: `${day}T${hours}:${minutes}:${seconds}Z`, fingerprint, sizeBytes }]
    })
    .sort((a, b) => (a.at < b.at ? 1 : -1))
}

/**
 * Keeps a snapshot unless the newest one holds the same.
 * @param now ISO 8601, UTC
 * @throws Failure as createFileBy; errors of SQLite as they come
 */
export function keepSnapshot(db: Database, path: string, now: string): void {
  const fingerprint = fingerprintOf(db)
  const [newest] = listSnapshots(path)
  if (newest?.fingerprint === fingerprint) return
  const folder = snapshotFolder(path)
  ensureFolder(folder, PRIVATE_FOLDER_MODE)
  const name = `${now.slice(0, 19).replaceAll(':', '.')}Z-${fingerprint}.sqlite`
  createFileBy(join(folder, name), (freshPath) => db.prepare('VACUUM INTO ?').run(freshPath))
  for (const old of snapshotsToDrop(listSnapshots(path), now)) setAside(old.path)
}

/**
 * Of each span the newest is kept, and the largest too where it is more than twice as large: a catalogue that
 * was emptied by mistake must not push out the one that was full.
 * @param snapshots newest first; the newest is never dropped
 */
export function snapshotsToDrop(snapshots: readonly Snapshot[], now: string): Snapshot[] {
  const kept = new Set(snapshots.slice(0, 1))
  for (const [spanS, count] of KEPT) {
    const spanOf = ({ at }: Snapshot): number =>
      Math.floor((Date.parse(now) - Date.parse(at)) / (1000 * spanS))
    for (const [span, inSpan] of Map.groupBy(snapshots, spanOf)) {
      if (span >= count) continue
      const [newest] = inSpan
      kept.add(newest)
      const largest = inSpan.reduce((a, b) => (b.sizeBytes > a.sizeBytes ? b : a))
      if (largest.sizeBytes > 2 * newest.sizeBytes) kept.add(largest)
    }
  }
  return snapshots.filter((snapshot) => !kept.has(snapshot))
}

function fingerprintOf(db: Database): string {
  const hash = createHash('sha256')
  const hashes = db
    .prepare<[], string>('SELECT subject || key || hash FROM row_hashes ORDER BY subject, key')
    .pluck()
  for (const one of hashes.iterate()) hash.update(one)
  return hash.digest('hex').slice(0, 16)
}

function namesIn(folder: string): string[] {
  try {
    return readdirSync(folder)
  } catch {
    return []
  }
}
