// Input and output of a verb: results on standard output, progress and messages on standard error.
// Ctrl+C and termination signals cancel the verb and leave nothing half-done.

import { cancelledFailure, failureDataOf } from '../../contract/failure.ts'
import type { CallContext } from '../../contract/wire/commands.ts'
import { DIFFERS, NOT_USABLE } from './exit-status.ts'

/** After this time the user is told that a second interrupt ends at once. */
const SLOW_TO_END_MS = 1000
/** A terminal sends Ctrl+C to the launcher as well, which passes it on. */
const SAME_INTERRUPT_MS = 100

const stop = new AbortController()

/** Aborted by the first interrupt, or when the output is closed. */
export const stopSignal: AbortSignal = stop.signal

/** Handles interrupts, closed outputs and uncaught errors; called before anything else. */
export function takeChargeOfEnding(): void {
  let interruptedMs = Number.NEGATIVE_INFINITY
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) {
    process.on(signal, () => {
      const nowMs = performance.now()
      if (nowMs - interruptedMs < SAME_INTERRUPT_MS) return
      if (stop.signal.aborted) process.exit(NOT_USABLE)
      interruptedMs = nowMs
      setTimeout(() => say('Cancelling; press Ctrl+C again to end at once.'), SLOW_TO_END_MS).unref()
      stop.abort()
    })
  }
  process.stdout.on('error', onClosedOutput)
  // With standard error closed, there is nowhere to report this.
  process.stderr.on('error', () => {})
  process.on('uncaughtException', onUncaught)
  // Node's own statuses (such as 13, for an await that never settles) are not statuses of this program.
  process.on('exit', (status) => {
    if (status !== 0 && status !== DIFFERS) process.exitCode = NOT_USABLE
  })
}

/** For a verb that runs a server: its host survives both kinds of error and reports them itself. */
export function leaveErrorsToHost(): void {
  process.stdout.off('error', onClosedOutput)
  process.off('uncaughtException', onUncaught)
}

function onClosedOutput(error: NodeJS.ErrnoException): void {
  if (!stop.signal.aborted) {
    say(
      error.code === 'EPIPE'
        ? 'The output was closed before the result was written.'
        : `The result could not be written to the output (${error.code ?? error.message}).`,
    )
  }
  stop.abort()
  process.exitCode = process.exitCode === DIFFERS ? DIFFERS : NOT_USABLE
}

function onUncaught(error: unknown): void {
  sayUnexpected(error)
  process.exit(NOT_USABLE)
}

/** Prints the result: one JSON document, or lines for people. */
export function printResult(asJson: boolean | undefined, document: object, lines: readonly string[]): void {
  process.stdout.write(
    asJson ? `${JSON.stringify(document, null, 2)}\n` : `${lines.map(printable).join('\n')}\n`,
  )
}

/** Whether the terminal's last line is a progress line without a line break. */
let isLineOpen = false

/** Prints one line for people. */
export function say(message: string): void {
  process.stderr.write(`${isLineOpen ? '\n' : ''}${printable(message)}\n`)
  isLineOpen = false
}

/** Prints an unexpected internal error: its message and its stack. */
export function sayUnexpected(error: unknown): void {
  say(failureDataOf(error).message)
  if (error instanceof Error) process.stderr.write(`${error.stack}\n`)
}

/** Text from a file must not move the cursor or change the colours of a terminal. */
const printable = (text: string): string => text.replaceAll(/\p{Cc}/gu, '\uFFFD')

/** The context of one call. @throws Failure 'cancelled' where the program was interrupted before */
export function createCallContext(): CallContext {
  if (stop.signal.aborted) throw cancelledFailure()
  const isTerminal = process.stderr.isTTY === true
  let said = ''
  return {
    signal: stop.signal,
    report(fraction, doing) {
      if (stop.signal.aborted) return
      const percent = Math.floor(fraction * 100)
      if (isTerminal) {
        process.stderr.write(`\r${doing}: ${percent} % \u001b[K${fraction >= 1 ? '\n' : ''}`)
        isLineOpen = fraction < 1
      } else if (doing !== said) say(`${doing} …`)
      said = doing
    },
  }
}

/** A number for people, with its unit; "none" where the material has no value. */
export function inWords(value: number | null, unit: string, digits = 1): string {
  return value === null ? 'none' : `${value.toFixed(digits)} ${unit}`
}
