// How many threads of a pool are wanted, known to all of them: so that a chain is split only
// while a processor has nothing else to do.

import { availableParallelism } from 'node:os'
import { workerData } from 'node:worker_threads'

/** What a pool gives each of its threads. */
export interface PoolThreadData {
  /** One word: jobs that run or wait, and helpers that run. */
  readonly busyThreads: Int32Array<SharedArrayBuffer>
}

export const createBusyThreads = (): PoolThreadData['busyThreads'] => new Int32Array(new SharedArrayBuffer(4))

/** The pool's count; a thread outside of a pool counts itself alone. */
const busyThreads = (workerData as PoolThreadData | null)?.busyThreads ?? createBusyThreads().fill(1)

/** Takes a processor that nobody of the pool wants; false where there is none. */
export function takeFreeProcessor(): boolean {
  const busy = Atomics.load(busyThreads, 0)
  // Who loses to another thread in this moment simply goes without.
  return busy < availableParallelism() && Atomics.compareExchange(busyThreads, 0, busy, busy + 1) === busy
}

export const releaseProcessor = (): void => void Atomics.sub(busyThreads, 0, 1)
