// The desktop program's log: starts and ends, and every error that nothing else has dealt with. The
// home folder stands there as ~, so that the log can be handed to somebody who helps.

import { homedir } from 'node:os'
import { join } from 'node:path'
import { createRollingFile } from '../../files/rolling-file.ts'

export interface Log {
  readonly folder: string
  note(message: string): void
  /** An error that is no Failure. */
  unexpected(error: unknown): void
}

const LIMITS = { mostBytes: 1_000_000, kept: 2 } as const
/** One entry may not fill the file. */
const MOST_CHARACTERS = 16_000

/**
 * Never throws: a log that cannot be written is no reason to stop.
 * @param echo gets each entry as well, for a terminal
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

/** Further lines are indented, so that no text can look like an entry of its own. */
function inOneEntry(message: string): string {
  const home = homedir()
  return (
    (home.length > 1 ? message.replaceAll(home, '~') : message)
      .slice(0, MOST_CHARACTERS)
      // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are exactly what is meant
      .replaceAll(/[\u0000-\u0009\u000b-\u001f\u007f]/g, ' ')
      .replaceAll('\n', '\n  ')
  )
}
