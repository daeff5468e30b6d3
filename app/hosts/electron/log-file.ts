// The desktop program's log: starts, exits and unexpected errors. The home folder is written as ~, so
// that the log can be shared without the user's name.

import { homedir } from 'node:os'
import { join } from 'node:path'
import { createRollingFile } from '../../files/rolling-file.ts'

/** The open log. */
export interface Log {
  readonly folder: string
  note(message: string): void
  /** Logs an error that is not a Failure. */
  unexpected(error: unknown): void
}

const LIMITS = { mostBytes: 1_000_000, kept: 2 } as const
/** Limit per entry. */
const MAX_CHARACTERS = 16_000

/**
 * Never throws, because a log that cannot be written must not stop the program.
 * @param echo also receives each entry, for a terminal
 */
export function openLog(folder: string, echo: (entry: string) => void): Log {
  const file = createRollingFile(join(folder, 'takeloft.log'), LIMITS)
  let isBroken = false
  const note = (message: string): void => {
    const entry = `${new Date().toISOString()} ${inOneEntry(message)}`
    echo(entry)
    try {
      file.append(`${entry}\n`)
      isBroken = false
    } catch (error) {
      if (!isBroken) echo(`The log in ${folder} cannot be written: ${String(error)}`)
      isBroken = true
    }
  }
  return { folder, note, unexpected: (error) => note(wordsOf(error)) }
}

const wordsOf = (error: unknown): string =>
  error instanceof Error
    ? `${error.stack ?? error.message}${error.cause === undefined ? '' : `\ncaused by ${wordsOf(error.cause)}`}`
    : String(error)

/** Indents continuation lines, so that logged text cannot forge an entry. */
function inOneEntry(message: string): string {
  const home = homedir()
  return (
    (home.length > 1 ? message.replaceAll(home, '~') : message)
      .slice(0, MAX_CHARACTERS)
      // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are matched on purpose
      .replaceAll(/[\u0000-\u0009\u000b-\u001f\u007f]/g, ' ')
      .replaceAll('\n', '\n  ')
  )
}
