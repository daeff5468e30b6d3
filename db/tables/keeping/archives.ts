// Archives of sessions: those that were made here, and those that were restored here.

import type { Database } from 'better-sqlite3'

export interface NewArchive {
  readonly act: 'archived' | 'restored'
  readonly sessionUuid: string
  readonly artistId: number
  readonly artistName: string
  readonly songTitle: string
  /** Absolute path of the bag's folder. */
  readonly path: string
  readonly takes: number
}

export type ArchiveQueries = ReturnType<typeof archiveQueries>

export function archiveQueries(db: Database) {
  const add = db.prepare<[NewArchive & { at: string }]>(
    `INSERT INTO archives (act, session_uuid, artist_id, artist_name, song_title, path, takes, created_at)
       VALUES (@act, @sessionUuid, @artistId, @artistName, @songTitle, @path, @takes, @at)`,
  )
  const paths = db
    .prepare<[], string>('SELECT path FROM archives GROUP BY path ORDER BY max(created_at) DESC, path')
    .pluck()
  return {
    insert(archive: NewArchive, at: string): void {
      add.run({ ...archive, at })
    },
    /** Of all bags that were made or restored here, the newest first. */
    listPaths: (): string[] => paths.all(),
  }
}
