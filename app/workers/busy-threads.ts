// A count of busy threads, shared by all threads of a pool, so that a chain is split only
// while a processor is idle.

import { availableParallelism } from 'node:os'
import { workerData } from 'node:worker_threads'

/** What a pool gives each of its threads. */
export interface PoolThreadData {
  /** One element: the number of running and waiting jobs plus that of running helpers. */
  readonly busyThreads: Int32Array<SharedArrayBuffer>
}

export const createBusyThreads = (): PoolThreadData['busyThreads'] => new Int32Array(new SharedArrayBuffer(4))

/** The pool's count; a thread outside a pool counts only itself. */
const busyThreads = (workerData as PoolThreadData | null)?.busyThreads ?? createBusyThreads().fill(1)

/** Reserves an idle processor; false where there is none. */
export function takeFreeProcessor(): boolean {
  const busy = Atomics.load(busyThreads, 0)
  // If another thread was faster, this one continues without a helper.
  return busy < availableParallelism() && Atomics.compareExchange(busyThreads, 0, busy, busy + 1) === busy
}

/** Releases a processor that takeFreeProcessor has reserved. */
export const releaseProcessor = (): void => void Atomics.sub(busyThreads, 0, 1)
