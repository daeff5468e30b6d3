// Test files whose process the runtime ended by a signal: nothing was wrong in an assertion, and nothing is known of the
// rest of the file. They are run once more, and the runner says so.

/** As vitest words it: "Worker exited unexpectedly with signal SIGTRAP during started state while running test file F". */
const CRASH = /exited unexpectedly with .*signal (SIGTRAP|SIGSEGV) .* running test file (\S+)/

export interface Crash {
  readonly signal: string
  /** Absolute path. */
  readonly file: string
}

/**
 * @param errors that vitest could not assign to a test
 * @returns null when one of them is no crash of a test file
 */
export function crashesIn(errors: readonly unknown[]): Crash[] | null {
  const crashes: Crash[] = []
  for (const error of errors) {
    const found = CRASH.exec(wordsOf(error))
    if (found === null) return null
    crashes.push({ signal: found[1], file: found[2] })
  }
  return crashes
}

function wordsOf(error: unknown): string {
  if (typeof error !== 'object' || error === null) return ''
  const { message = '', cause } = error as { message?: string; cause?: unknown }
  return `${message} ${wordsOf(cause)}`
}
