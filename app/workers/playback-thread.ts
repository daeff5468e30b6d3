// The one thread that renders what is being listened to, as its callers see it.

import { Worker } from 'node:worker_threads'
import { Failure } from '../contract/failure.ts'
import type { PlaybackAct, PlaybackActs, PlaybackAnswer, PlaybackQuestion } from './playback-protocol.ts'
import { threadEntry } from './thread-entry.ts'

export interface PlaybackThread {
  /** @throws Failure as the thread gave it, `unexpected` once it is closed */
  ask<A extends PlaybackAct>(act: A, input: PlaybackActs[A]['input']): Promise<PlaybackActs[A]['output']>
  close(): Promise<void>
}

/** Started with the first question; a thread that dies fails what was asked of it and is started anew by the next. */
export function createPlaybackThread(): PlaybackThread {
  let worker: Worker | undefined
  let isClosed = false
  let lastId = 0
  const waiting = new Map<number, { resolve(output: never): void; reject(error: Failure): void }>()

  const start = (): Worker => {
    const started = new Worker(threadEntry(import.meta.url, 'playback-worker'))
    started.on('message', (answer: PlaybackAnswer) => {
      const call = waiting.get(answer.id)
      waiting.delete(answer.id)
      if (answer.ok) call?.resolve(answer.output as never)
      else call?.reject(Failure.fromData(answer.failure))
    })
    const gone = (error?: unknown): void => {
      if (worker === started) worker = undefined
      for (const call of waiting.values()) {
        call.reject(
          new Failure('unexpected', 'Playback has stopped inside Takeloft; start it again.', {}, error),
        )
      }
      waiting.clear()
    }
    started.on('error', gone)
    started.on('exit', () => gone())
    return started
  }

  return {
    ask(act, input) {
      // A page that ends last must not start another thread, which would keep the program alive.
      if (isClosed) return Promise.reject(new Failure('unexpected', 'Takeloft is closing.'))
      worker ??= start()
      const id = ++lastId
      const running = worker
      return new Promise((resolve, reject) => {
        waiting.set(id, { resolve, reject })
        running.postMessage({ id, act, input } as PlaybackQuestion)
      })
    },
    async close() {
      isClosed = true
      await worker?.terminate()
    },
  }
}
