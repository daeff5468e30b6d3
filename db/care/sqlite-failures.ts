// Turns SQLite's result codes into failures for the user. https://www.sqlite.org/rescode.html

import Database from 'better-sqlite3'
import { Failure, type FailureCode } from '../../app/contract/failure.ts'
import { damageSentence } from './damage.ts'

/** SQLite's code of an error, or undefined for any other error. */
export const sqliteCodeOf = (error: unknown): string | undefined =>
  error instanceof Database.SqliteError ? error.code : undefined

/**
 * Runs `act` and turns the errors of SQLite into Failures that name the catalogue at `path`.
 * A violated CHECK is an internal error and stays an ordinary error.
 */
export function withFailures<T>(path: string, act: () => T): T {
  try {
    return act()
  } catch (error) {
    const code = sqliteCodeOf(error)
    const meaning = code === undefined ? undefined : meaningOf(code, (error as Error).message, path)
    if (code === undefined || meaning === undefined) throw error
    throw new Failure(meaning[0], meaning[1], { path, sqlite: code }, error)
  }
}

/** What SQLite's message 'UNIQUE constraint failed: songs.artist_id, songs.title' is about. */
const UNIQUE_THINGS: Readonly<Record<string, string>> = {
  songs: 'a song of this title by this artist',
  takes: 'this take',
}
const uniqueThing = (message: string): string => UNIQUE_THINGS[/: (\w+)\./.exec(message)?.[1] ?? ''] ?? 'this'

function meaningOf(code: string, message: string, path: string): [FailureCode, string] | undefined {
  switch (code) {
    case 'SQLITE_CONSTRAINT_UNIQUE':
    case 'SQLITE_CONSTRAINT_PRIMARYKEY':
    case 'SQLITE_CONSTRAINT_ROWID':
      return ['conflict', `The catalogue already has ${uniqueThing(message)}; use that one, or another name.`]
    case 'SQLITE_CONSTRAINT_TRIGGER':
      return ['conflict', `The catalogue keeps its history: ${message}.`]
    case 'SQLITE_CONSTRAINT_FOREIGNKEY':
      return [
        'not-found',
        'Something that this refers to is no longer in the catalogue; reload the list and choose again.',
      ]
    case 'SQLITE_NOTADB':
      return ['catalogue-damaged', damageSentence('it is no database, or its beginning is damaged', path)]
    // Faulty SQL already fails when it is prepared, so this code at run time means unreadable data.
    case 'SQLITE_ERROR':
    case 'SQLITE_MISMATCH':
      return ['catalogue-damaged', damageSentence(message, path)]
  }
  switch (code.split('_', 2)[1]) {
    case 'CORRUPT':
      return ['catalogue-damaged', damageSentence(message, path)]
    case 'BUSY':
    case 'LOCKED':
      return [
        'catalogue-busy',
        `Another program is writing to the catalogue ${path}; wait for it to finish or close it, then try again.`,
      ]
    case 'READONLY':
    case 'CANTOPEN':
    case 'PERM':
    case 'AUTH':
      return [
        'not-writable',
        `The catalogue ${path} cannot be opened for writing; allow writing to the file and its folder, or choose another place.`,
      ]
    case 'FULL':
      return [
        'disk-full',
        `The disk that holds the catalogue ${path} is full; free some space and try again. Nothing was half-written.`,
      ]
    case 'IOERR':
      return [
        'not-readable',
        `The disk that holds the catalogue ${path} is full or reported an error; free some space, and check that it is connected and works.`,
      ]
  }
  return undefined
}
