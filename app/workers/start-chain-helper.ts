// Helper threads for chains. They are started by a thread that renders, which may block while the
// helper starts, and are kept for that thread's next chain.

import { availableParallelism } from 'node:os'
import { Worker } from 'node:worker_threads'
import { FAILED, PHASE } from '../engine/chain/shared-stages.ts'
import type { StartHelper } from '../engine/chain/split-chain.ts'
import { releaseProcessor, takeFreeProcessor } from './busy-threads.ts'
import { threadEntry } from './thread-entry.ts'

/** Shorter sounds are not worth a second thread. */
const MIN_S = 20

/** Idle helpers of this thread. */
const idle: Worker[] = []
/** Helpers that have ended but may still belong to a chain. */
const ended = new WeakSet<Worker>()

function startWorker(): Worker {
  const worker = new Worker(threadEntry(import.meta.url, 'chain-helper'))
  // Ignored here: the thread that owns the chain finds the failure in shared memory and reports it.
  worker.on('error', () => {})
  worker.on('exit', () => {
    ended.add(worker)
    if (idle.includes(worker)) idle.splice(idle.indexOf(worker), 1)
  })
  worker.unref()
  return worker
}

/** Starts a helper before anything else is loaded, so that it is ready for the first chain. */
export function bringUpChainHelper(): void {
  if (idle.length === 0 && availableParallelism() > 1) idle.push(startWorker())
}

/** Starts a helper when a processor is free. */
export const startChainHelper: StartHelper = (shared) => {
  if (!takeFreeProcessor()) return null
  const worker = idle.pop() ?? startWorker()
  worker.postMessage(shared)
  return () => {
    releaseProcessor()
    // A helper that has just failed may not be in `ended` yet: its exit event arrives only when this thread
    // returns to its event loop.
    const hasFailed = Atomics.load(shared.control, PHASE) === FAILED
    if (!hasFailed && !ended.has(worker)) idle.push(worker)
  }
}

/** null for sounds that are too short to gain from it. */
export const chainHelperFor = (frames: number, sampleRateHz: number): StartHelper | null =>
  frames < MIN_S * sampleRateHz ? null : startChainHelper
