// A count of busy threads that all threads of a pool share, so that a chain is split only
// while a processor is idle.

import { availableParallelism } from 'node:os'
import { workerData } from 'node:worker_threads'

/** What a pool gives each of its threads. */
export interface PoolThreadData {
  /** One word: jobs that run or wait, and helpers that run. */
  readonly busyThreads: Int32Array<SharedArrayBuffer>
}

/** A count of 0, in shared memory. */
export const createBusyThreads = (): PoolThreadData['busyThreads'] => new Int32Array(new SharedArrayBuffer(4))

/** The pool's count; a thread outside of a pool counts itself alone. */
const busyThreads = (workerData as PoolThreadData | null)?.busyThreads ?? createBusyThreads().fill(1)

/** Reserves an idle processor; false where there is none. */
export function takeFreeProcessor(): boolean {
  const busy = Atomics.load(busyThreads, 0)
  // Where another thread was faster, this one continues without a helper.
  return busy < availableParallelism() && Atomics.compareExchange(busyThreads, 0, busy, busy + 1) === busy
}

/** Gives back what `takeFreeProcessor` took. */
export const releaseProcessor = (): void => void Atomics.sub(busyThreads, 0, 1)
