// Handles uncaught errors in a process that serves a window. By default, Node would end the process, and
// with it, for example, a bounce that has run for minutes.
//
// Continuing is safe as long as errors are rare: an error leaves one callback unfinished, so one call is
// never answered, but nothing on disk is left half done. The catalogue is written in transactions that begin
// and end within one function call, and an error inside rolls them back. Files are written under a temporary
// name and renamed when complete, in threads with their own memory. Continuing is not safe when errors
// repeat: something that everything depends on is then broken, and every further answer may be wrong. Errors
// during startup are not caught here, because there is no running work to lose yet.

/** More errors than this within this time end the process. */
const MAX_ERRORS = 20
const WITHIN_MS = 10_000

/** Where uncaught errors are reported, and how the process ends. */
export interface LastResort {
  readonly log: (message: string) => void
  /** Shuts down cleanly and sets the exit status; called once, when continuing is not safe. */
  readonly end: () => Promise<void>
}

/** Handles uncaught errors from now until the process ends. */
export function keepServing({ log, end }: LastResort): void {
  const times: number[] = []
  let hasEnded = false
  const onError = (error: unknown): void => {
    log(
      `An unexpected error inside Takeloft, which keeps running. ${error instanceof Error ? error.stack : String(error)}`,
    )
    const now = performance.now()
    times.push(now)
    while (times[0] < now - WITHIN_MS) times.shift()
    if (times.length <= MAX_ERRORS || hasEnded) return
    hasEnded = true
    log('Takeloft ends because of repeated errors. Everything saved is safe; start it again.')
    // The fault may also keep the process from ending on its own.
    void end()
      .catch(() => {})
      .finally(() => process.exit())
  }
  process.on('uncaughtException', onError)
  process.on('unhandledRejection', onError)
  // When the terminal is closed, or the program that reads the output has ended, each further write fails,
  // and logging that error would cause the next one.
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => {})
}
