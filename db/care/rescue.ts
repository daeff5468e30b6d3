// A rescued catalogue: everything that an open connection can still read, kept in a separate file after
// the catalogue's file was deleted, replaced or truncated.

import { homedir } from 'node:os'
import { basename, dirname, extname, join } from 'node:path'
import type { Database } from 'better-sqlite3'
import { type FileIdentity, identityOf } from '../../app/files/file-identity.ts'
import { namesIn } from '../../app/files/names-in.ts'
import { createFileBy, replaceFileBy } from '../../app/files/written-by-others.ts'

export interface Rescued {
  readonly path: string
  /** ISO 8601, UTC. */
  readonly at: string
}

/** Folders for rescued files of the catalogue at `path`: its own, or the home folder if that is read-only. */
const foldersFor = (path: string): readonly string[] => [...new Set([dirname(path), homedir()])]

/** Newest first. */
export function listRescued(path: string): Rescued[] {
  const start = `${basename(path, extname(path))} rescued `
  return foldersFor(path)
    .flatMap((folder) =>
      namesIn(folder).flatMap((name) => {
        if (!name.startsWith(start) || extname(name) !== extname(path)) return []
        const at = /^(\d{4}-\d\d-\d\dT\d\d)\.(\d\d)\.(\d\d\.\d{3})$/.exec(
          basename(name, extname(name)).slice(start.length),
        )
        return at === null ? [] : [{ path: join(folder, name), at: `${at[1]}:${at[2]}:${at[3]}Z` }]
      }),
    )
    .sort((a, b) => (a.at < b.at ? 1 : -1))
}

/**
 * Gives a function that copies `db` to a rescued file and returns its path. Later calls update the same file,
 * because the user was told its name.
 */
export function rescuer(db: Database, path: string): () => string {
  let former: { path: string; identity: FileIdentity } | null = null
  const copy = (freshPath: string): void => {
    db.prepare('VACUUM INTO ?').run(freshPath)
  }
  return () => {
    if (former !== null) replaceFileBy(former.path, former.identity, copy)
    const rescued = former?.path ?? createRescued(path, copy)
    former = { path: rescued, identity: identityOf(rescued) }
    return rescued
  }
}

function createRescued(path: string, copy: (freshPath: string) => void): string {
  const now = new Date().toISOString().slice(0, 23).replaceAll(':', '.')
  const name = `${basename(path, extname(path))} rescued ${now}${extname(path)}`
  let failure: unknown
  for (const folder of foldersFor(path)) {
    try {
      createFileBy(join(folder, name), copy)
      return join(folder, name)
    } catch (error) {
      failure = error
    }
  }
  throw failure
}
