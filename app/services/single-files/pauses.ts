// Pauses for work on the main thread: they report progress and let an interrupt through.

import { cancelledFailure } from '../../contract/failure.ts'
import type { CallContext } from '../../contract/wire/commands.ts'

const PAUSE_EVERY_MS = 50

/**
 * Gives a function that such work calls and awaits after each span.
 * @param doing describes the work in a few words
 * @returns a function whose promise rejects with the Failure `cancelled` after an interrupt
 */
export function createPauses({ signal, report }: CallContext, doing: string) {
  let pausedMs = performance.now()
  return (fraction: number): Promise<void> | undefined => {
    const nowMs = performance.now()
    if (nowMs - pausedMs < PAUSE_EVERY_MS) return undefined
    pausedMs = nowMs
    report(fraction, doing)
    return new Promise((goOn, stop) => {
      // Pending signals are handled first.
      setImmediate(() => (signal.aborted ? stop(cancelledFailure()) : goOn()))
    })
  }
}
