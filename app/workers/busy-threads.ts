// How many threads of a pool are at work, known to all of them: so that a chain is split
// only while a processor has nothing else to do.

import { availableParallelism } from 'node:os'
import { workerData } from 'node:worker_threads'

/** What a pool gives each of its threads. */
export interface PoolThreadData {
  /** One word: threads at work, helpers included. */
  readonly busyThreads: Int32Array<SharedArrayBuffer>
}

export const createBusyThreads = (): PoolThreadData['busyThreads'] => new Int32Array(new SharedArrayBuffer(4))

/** The pool's count; outside of a pool one's own. */
const busyThreads = (workerData as PoolThreadData | null)?.busyThreads ?? createBusyThreads()

export const beginWork = (): void => void Atomics.add(busyThreads, 0, 1)
export const endWork = (): void => void Atomics.sub(busyThreads, 0, 1)

/** Begins work on a processor that nobody of the pool uses; false where there is none. */
export function beginWorkIfFree(): boolean {
  const busy = Atomics.load(busyThreads, 0)
  // Who loses to another thread in this moment simply goes without.
  return busy < availableParallelism() && Atomics.compareExchange(busyThreads, 0, busy, busy + 1) === busy
}
