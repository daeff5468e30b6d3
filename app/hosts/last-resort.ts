// Uncaught errors in a process that serves a window. Node would end the process, and a bounce that has
// run for minutes with it.
//
// Continuing is safe here, as long as errors stay rare: an error leaves one callback unfinished, so one call is
// never answered, but nothing on disk is half done. The catalogue is written in transactions that begin and end
// within one call of a function, and an error inside rolls them back. Files are written beside their place and
// renamed once they are whole, in threads with memory of their own. Continuing is not safe when errors come one
// after the other: then something that everything depends on is broken, and each further answer may be wrong. An error
// while starting is not caught here either: nothing runs yet that would be lost.

/** With more than this many errors within this time, the process ends. */
const MOST_ERRORS = 20
const WITHIN_MS = 10_000

/** Where uncaught errors are reported, and how the process ends. */
export interface LastResort {
  readonly log: (message: string) => void
  /** Shuts down cleanly and sets the exit status; called once, when continuing is not safe. */
  readonly end: () => Promise<void>
}

/** For the rest of the life of this process. */
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
    if (times.length <= MOST_ERRORS || hasEnded) return
    hasEnded = true
    log('Takeloft ends because of repeated errors. Everything saved is safe; start it again.')
    // The fault may also keep the process from ending on its own.
    void end()
      .catch(() => {})
      .finally(() => process.exit())
  }
  process.on('uncaughtException', onError)
  process.on('unhandledRejection', onError)
  // The terminal was closed, or the program that read the output has ended: each further line would be an
  // error, and its log the next.
  for (const stream of [process.stdout, process.stderr]) stream.on('error', () => {})
}
