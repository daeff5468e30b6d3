// How a verb talks: results on standard output, progress and messages on standard error,
// and Ctrl+C as a cancel that leaves nothing half-done.

import type { CallContext } from '../../contract/commands.ts'

/** Prints the result: one JSON document, or lines for people. */
export function printResult(asJson: boolean | undefined, document: object, lines: readonly string[]): void {
  process.stdout.write(asJson ? `${JSON.stringify(document, null, 2)}\n` : `${lines.join('\n')}\n`)
}

export function say(message: string): void {
  process.stderr.write(`${message}\n`)
}

/** The context of one call; the first interrupt cancels it, a second one ends the program at once. */
export function createCallContext(): CallContext {
  const abort = new AbortController()
  process.once('SIGINT', () => {
    say('\nCancelling; press Ctrl+C again to end at once.')
    abort.abort()
  })
  const isTerminal = process.stderr.isTTY === true
  let said = ''
  return {
    signal: abort.signal,
    report(fraction, doing) {
      const percent = Math.floor(fraction * 100)
      if (isTerminal) process.stderr.write(`\r${doing}: ${percent} % \u001b[K${fraction >= 1 ? '\n' : ''}`)
      else if (doing !== said) say(`${doing} …`)
      said = doing
    },
  }
}

/** A number for people, with its unit; "none" where the material has no value. */
export function inWords(value: number | null, unit: string, digits = 1): string {
  return value === null ? 'none' : `${value.toFixed(digits)} ${unit}`
}
