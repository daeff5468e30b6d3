// The pool of worker threads that render and measure; idle threads are kept for the next jobs.

import { availableParallelism } from 'node:os'
import { fileURLToPath } from 'node:url'
import { Piscina } from 'piscina'
import { cancelledFailure, Failure } from '../contract/failure.ts'
import { createBusyThreads, type PoolThreadData } from './busy-threads.ts'
import type { JobAnswer, JobName, Jobs, JobTask } from './jobs.ts'
import { threadEntry } from './thread-entry.ts'

const PROGRESS_INTERVAL_MS = 100
/** Jobs check for cancellation between blocks, but their final work may take seconds without a check. */
const GRACE_MS = 250
/** Never terminated: these jobs check every few milliseconds, and would leave unfinished files behind. */
const ENDING_BY_THEMSELVES: ReadonlySet<JobName> = new Set<JobName>([
  'bounceUnit',
  'bounceStack',
  'unpackTake',
])

interface JobOptions {
  readonly signal?: AbortSignal
  readonly onProgress?: (fraction: number) => void
}

/** A pool of worker threads. */
export interface Pool {
  readonly threads: number
  /**
   * Runs one job on a thread. A cancelled job stops at its next block and leaves nothing half-written. If
   * that takes too long, its thread is terminated, unless the job would leave files behind.
   * @throws Failure of the job, or `cancelled`
   */
  run<N extends JobName>(name: N, input: Jobs[N]['input'], options?: JobOptions): Promise<Jobs[N]['output']>
  /** Whether no job runs or waits. */
  isIdle(): boolean
  close(): Promise<void>
}

/** @param threads how many jobs run at once; by default the number of processors */
export function createPool(threads: number = availableParallelism()): Pool {
  const busyThreads = createBusyThreads()
  const piscina = new Piscina({
    filename: fileURLToPath(threadEntry(import.meta.url, 'render-worker')),
    minThreads: 1,
    maxThreads: threads,
    idleTimeout: 60_000,
    workerData: { busyThreads } satisfies PoolThreadData,
  })
  let hasEndedThreads = false
  piscina.on('error', (error: Error) => {
    // The answer of a terminated thread may still arrive, and no call waits for it.
    if (!hasEndedThreads) throw error
  })
  return {
    threads,
    async run(name, input, { signal, onProgress } = {}) {
      const cancel = new Int32Array(new SharedArrayBuffer(4))
      const progress = new Float64Array(new SharedArrayBuffer(8))
      const end = new AbortController()
      let grace: ReturnType<typeof setTimeout> | undefined
      const onAbort = (): void => {
        Atomics.store(cancel, 0, 1)
        if (ENDING_BY_THEMSELVES.has(name)) return
        grace ??= setTimeout(() => {
          hasEndedThreads = true
          end.abort()
        }, GRACE_MS)
      }
      if (signal?.aborted) onAbort()
      signal?.addEventListener('abort', onAbort)
      // Runs for every job: a thread that is still starting does not keep the program alive by itself.
      const timer = setInterval(() => onProgress?.(progress[0]), PROGRESS_INTERVAL_MS)
      // A queued job counts too, because it needs the idle processor.
      Atomics.add(busyThreads, 0, 1)
      try {
        const task: JobTask<typeof name> = { input, cancel, progress }
        const answer: JobAnswer<typeof name> = await piscina.run(task, { name, signal: end.signal })
        if (!answer.ok) throw Failure.fromData(answer.failure)
        onProgress?.(1)
        return answer.output
      } catch (error) {
        throw end.signal.aborted ? cancelledFailure() : error
      } finally {
        Atomics.sub(busyThreads, 0, 1)
        clearInterval(timer)
        clearTimeout(grace)
        signal?.removeEventListener('abort', onAbort)
      }
    },
    isIdle: () => Atomics.load(busyThreads, 0) === 0,
    async close() {
      hasEndedThreads = true
      await piscina.destroy()
    },
  }
}
