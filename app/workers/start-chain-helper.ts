// Helper threads for chains. Started by a thread that renders, which may block while the
// helper comes up; kept for the thread's next chain.

import { availableParallelism } from 'node:os'
import { Worker } from 'node:worker_threads'
import type { StartHelper } from '../engine/split-chain.ts'
import { releaseProcessor, takeFreeProcessor } from './busy-threads.ts'
import { threadEntry } from './thread-entry.ts'

/** A sound that is done sooner is not worth a second thread. */
const SHORTEST_S = 20

/** Helpers of this thread that have nothing to do. */
const idle: Worker[] = []

function startWorker(): Worker {
  const worker = new Worker(threadEntry(import.meta.url, 'chain-helper'))
  // That it has failed the chain's owner sees in the shared memory, and says so.
  worker.on('error', () => {})
  worker.on('exit', () => {
    if (idle.includes(worker)) idle.splice(idle.indexOf(worker), 1)
  })
  worker.unref()
  return worker
}

/** Starts a helper before anything else is loaded, so that it is there for the first chain. */
export function bringUpChainHelper(): void {
  if (availableParallelism() > 1) idle.push(startWorker())
}

/** Starts a helper when a processor is free. */
export const startChainHelper: StartHelper = (shared) => {
  if (!takeFreeProcessor()) return null
  const worker = idle.pop() ?? startWorker()
  worker.postMessage(shared)
  return () => {
    releaseProcessor()
    idle.push(worker)
  }
}

/** null for sounds that are too short to gain from it. */
export const chainHelperFor = (frames: number, sampleRateHz: number): StartHelper | null =>
  frames < SHORTEST_S * sampleRateHz ? null : startChainHelper
