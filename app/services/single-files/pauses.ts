// For work on the program's own thread: tells how far it is, and lets an interrupt through.

import { cancelledFailure } from '../../contract/failure.ts'
import type { CallContext } from '../../contract/wire/commands.ts'

const PAUSE_EVERY_MS = 50

/**
 * What such work calls from span to span and waits for.
 * @param doing what the work is, in a few words
 * @throws Failure `cancelled`, as the rejection of what it returns
 */
export function createPauses({ signal, report }: CallContext, doing: string) {
  let pausedMs = performance.now()
  return (fraction: number): Promise<void> | undefined => {
    const nowMs = performance.now()
    if (nowMs - pausedMs < PAUSE_EVERY_MS) return undefined
    pausedMs = nowMs
    report(fraction, doing)
    return new Promise((goOn, stop) => {
      // After the signals that have come meanwhile.
      setImmediate(() => (signal.aborted ? stop(cancelledFailure()) : goOn()))
    })
  }
}
