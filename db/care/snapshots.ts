// Snapshots: full copies of a catalogue in a folder beside it, from which it can be restored after damage.

import { createHash } from 'node:crypto'
import { statSync } from 'node:fs'
import { basename, dirname, extname, join } from 'node:path'
import type { Database } from 'better-sqlite3'
import { ensureFolder, PRIVATE_FOLDER_MODE } from '../../app/files/ensure-folder.ts'
import { namesIn } from '../../app/files/names-in.ts'
import { moveAside } from '../../app/files/new-folder.ts'
import { createFileBy } from '../../app/files/written-by-others.ts'
import { type Snapshot, snapshotsToDrop } from './snapshot-ages.ts'

const FILE_NAME = /^(\d{4}-\d\d-\d\d)T(\d\d)\.(\d\d)\.(\d\d)Z-([0-9a-f]{16})\.sqlite$/

/** Folder of the snapshots of the catalogue at `path`. */
const snapshotFolder = (path: string): string =>
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
 * Keeps a snapshot unless the newest one has the same contents.
 * @param now ISO 8601, UTC
 * @throws Failure as createFileBy; SQLite errors unchanged
 */
export function keepSnapshot(db: Database, path: string, now: string): void {
  const fingerprint = fingerprintOf(db)
  const [newest] = listSnapshots(path)
  if (newest?.fingerprint === fingerprint) return
  const folder = snapshotFolder(path)
  ensureFolder(folder, PRIVATE_FOLDER_MODE)
  const name = `${now.slice(0, 19).replaceAll(':', '.')}Z-${fingerprint}.sqlite`
  createFileBy(join(folder, name), (freshPath) => db.prepare('VACUUM INTO ?').run(freshPath))
  for (const old of snapshotsToDrop(listSnapshots(path), now)) moveAside(old.path)
}

function fingerprintOf(db: Database): string {
  const hash = createHash('sha256')
  const hashes = db
    .prepare<[], string>('SELECT subject || key || hash FROM row_hashes ORDER BY subject, key')
    .pluck()
  for (const one of hashes.iterate()) hash.update(one)
  return hash.digest('hex').slice(0, 16)
}
