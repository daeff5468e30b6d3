// What SQLite's result codes mean to the engineer at the desk. They are known here and
// nowhere else. https://www.sqlite.org/rescode.html

import Database from 'better-sqlite3'
import { Failure, type FailureCode } from '../app/contract/failure.ts'

/** SQLite's code of an error, or undefined for any other error. */
export const sqliteCodeOf = (error: unknown): string | undefined =>
  error instanceof Database.SqliteError ? error.code : undefined

/**
 * Runs `act` and turns the errors of SQLite into Failures that name the catalogue at `path`.
 * A broken CHECK, a wrong type or faulty SQL is a mistake of our own and stays an ordinary error.
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

function meaningOf(code: string, message: string, path: string): [FailureCode, string] | undefined {
  switch (code) {
    case 'SQLITE_CONSTRAINT_UNIQUE':
    case 'SQLITE_CONSTRAINT_PRIMARYKEY':
    case 'SQLITE_CONSTRAINT_ROWID':
      return ['conflict', `The catalogue has this already (${message}); use the entry that is there.`]
    case 'SQLITE_CONSTRAINT_TRIGGER':
      return ['conflict', `The catalogue keeps its history: ${message}.`]
    case 'SQLITE_CONSTRAINT_FOREIGNKEY':
      return [
        'not-found',
        'Something that this refers to is not in the catalogue any more; read the list again and choose anew.',
      ]
    case 'SQLITE_NOTADB':
      return [
        'catalogue-damaged',
        `${path} is not a catalogue, or its beginning is damaged: SQLite cannot read it. It was left as it is; choose another file or put back an earlier copy.`,
      ]
  }
  switch (code.split('_', 2)[1]) {
    case 'CORRUPT':
      return [
        'catalogue-damaged',
        `The catalogue ${path} is damaged (${message}); put back an earlier copy of the file.`,
      ]
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
        `The disk that holds the catalogue ${path} is full; make room and try again. Nothing was half-written.`,
      ]
    case 'IOERR':
      return [
        'not-readable',
        `The disk that holds the catalogue ${path} gave an error (${code}); check that it is connected and sound.`,
      ]
  }
  return undefined
}
