// Starts the one thread that renders playback, and calls it.

import { Worker } from 'node:worker_threads'
import { Failure } from '../contract/failure.ts'
import { type CallOptions, createCaller, trustedMessage } from '../contract/wire/calls.ts'
import type { PlaybackAct, PlaybackActs } from './playback-protocol.ts'
import { threadEntry } from './thread-entry.ts'
import { createThreadPort } from './thread-port.ts'

/** The thread's calls. */
export interface PlaybackThread {
  /** @throws Failure of the thread, `cancelled`, or `unexpected` when the thread has died or is closed */
  ask<A extends PlaybackAct>(
    act: A,
    input: PlaybackActs[A]['input'],
    options?: Pick<CallOptions, 'signal'>,
  ): Promise<PlaybackActs[A]['output']>
  /** Whether something plays: its sound is asked for several times a second. */
  isInUse(): boolean
  close(): Promise<void>
}

/** Longer pauses between calls mean that nothing plays. */
const PAUSE_MS = 2000

interface RunningThread {
  readonly worker: Worker
  readonly call: ReturnType<typeof createCaller>
}

/** Starts the thread with the first call. If it dies, its calls fail and the next call starts another. */
export function createPlaybackThread(): PlaybackThread {
  let running: RunningThread | undefined
  let isClosed = false
  let lastAskedMs = Number.NEGATIVE_INFINITY

  const start = (): RunningThread => {
    const worker = new Worker(threadEntry(import.meta.url, 'playback-worker'))
    let cause: unknown
    const call = createCaller(createThreadPort(worker), {
      read: trustedMessage,
      closedFailure: () =>
        new Failure(
          'unexpected',
          'Playback has stopped because of an error in Takeloft; start it again.',
          {},
          cause,
        ),
    })
    const started = { worker, call }
    const forget = (): void => {
      if (running === started) running = undefined
    }
    worker.on('error', (error) => {
      cause = error
      forget()
    })
    worker.on('exit', forget)
    return started
  }

  return {
    async ask(act, input, options) {
      // A page that ends during shutdown must not start another thread, which would keep the program alive.
      if (isClosed) throw new Failure('unexpected', 'Takeloft is closing.')
      running ??= start()
      lastAskedMs = performance.now()
      // The output type is guaranteed by the thread's table of acts.
      return (await running.call(act, input, options)) as never
    },
    isInUse: () => performance.now() - lastAskedMs < PAUSE_MS,
    async close() {
      isClosed = true
      await running?.worker.terminate()
    },
  }
}
