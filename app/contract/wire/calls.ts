// Both ends of a call over a port: ids, answers, failures, progress, cancelling. Its users decide which
// commands exist and whether messages are validated: `connect` and `serve` for a window, and the playback
// thread. It does not import zod, so that threads that validate nothing need not load it.

import { cancelledFailure, Failure, failureDataOf } from '../failure.ts'
import type { Message, Port } from './port.ts'

/** Returns null for anything that is not a message. */
type ReadMessage = (raw: unknown) => Message | null

/** For messages between threads of the program, which need no validation. */
export const trustedMessage: ReadMessage = (raw) => raw as Message

export interface CallOptions {
  /** Cancels the call; if it is already aborted, the call is not sent. */
  readonly signal?: AbortSignal
  readonly onProgress?: (fraction: number, doing: string) => void
}

interface Waiting {
  resolve(output: unknown): void
  reject(error: Failure): void
  onProgress: CallOptions['onProgress']
  /** Removes the call's listener from its signal, which may outlive the call. */
  releaseSignal(): void
}

/** The calling end. Calls reject with the Failure of the other end, or `closedFailure` if the port closes. */
export function createCaller(
  port: Port,
  {
    read,
    closedFailure,
    hearEvent,
  }: {
    readonly read: ReadMessage
    readonly closedFailure: () => Failure
    readonly hearEvent?: (name: string, data: unknown) => void
  },
): (command: string, input: unknown, options?: CallOptions) => Promise<unknown> {
  const waiting = new Map<number, Waiting>()
  let lastId = 0
  let isClosed = false

  /** Removes and returns an ended call; undefined if none is waiting under this id. */
  const ended = (id: number): Waiting | undefined => {
    const call = waiting.get(id)
    waiting.delete(id)
    call?.releaseSignal()
    return call
  }

  port.listen(
    (raw) => {
      const message = read(raw)
      if (message?.type === 'event') hearEvent?.(message.name, message.data)
      else if (message?.type === 'progress') {
        waiting.get(message.id)?.onProgress?.(message.fraction, message.doing)
      } else if (message?.type === 'done') ended(message.id)?.resolve(message.output)
      else if (message?.type === 'failed') ended(message.id)?.reject(Failure.fromData(message.failure))
    },
    () => {
      isClosed = true
      for (const id of [...waiting.keys()]) ended(id)?.reject(closedFailure())
    },
  )

  return (command, input, { signal, onProgress } = {}) =>
    new Promise((resolve, reject) => {
      if (isClosed) return reject(closedFailure())
      if (signal?.aborted) return reject(cancelledFailure())
      const id = ++lastId
      const cancel = (): void => port.post({ type: 'cancel', id })
      signal?.addEventListener('abort', cancel)
      const releaseSignal = (): void => signal?.removeEventListener('abort', cancel)
      waiting.set(id, { resolve, reject, onProgress, releaseSignal })
      port.post({ type: 'ask', id, command, input })
    })
}

export interface AnswerContext {
  /** Aborted when the call is cancelled, or the port has closed. */
  readonly signal: AbortSignal
  /** Length of the request message, or 0 if the transport does not report it. */
  readonly bytes: number
  /** Aborted once the port has closed; the same signal for all calls. */
  readonly closed: AbortSignal
  /** Reports progress from 0 to 1, and the current step in a few words. */
  report(fraction: number, doing: string): void
}

/**
 * The answering end: answers until the port closes.
 * @param answer returns the output of the call or throws its failure
 * @param closing runs first when the port closes
 * @param closedReason reason with which running calls are then aborted
 */
export function answerCalls(
  port: Port,
  {
    read,
    answer,
    closing,
    closedReason,
  }: {
    readonly read: ReadMessage
    readonly answer: (command: string, input: unknown, context: AnswerContext) => unknown
    readonly closing?: () => void
    readonly closedReason?: Failure
  },
): void {
  const running = new Map<number, AbortController>()
  const closed = new AbortController()

  const run = async (id: number, command: string, input: unknown, bytes: number): Promise<void> => {
    // With two running calls under one id, a cancel would be ambiguous.
    if (running.has(id)) return
    const abort = new AbortController()
    running.set(id, abort)
    try {
      const output = await answer(command, input, {
        signal: abort.signal,
        closed: closed.signal,
        bytes,
        report: (fraction, doing) => port.post({ type: 'progress', id, fraction, doing }),
      })
      port.post({ type: 'done', id, output })
    } catch (error) {
      port.post({ type: 'failed', id, failure: failureDataOf(error) })
    } finally {
      running.delete(id)
    }
  }

  const stop = port.listen(
    (raw, bytes = 0) => {
      const message = read(raw)
      if (message?.type === 'ask') void run(message.id, message.command, message.input, bytes)
      else if (message?.type === 'cancel') running.get(message.id)?.abort()
    },
    () => {
      stop()
      closing?.()
      for (const abort of running.values()) abort.abort(closedReason)
      closed.abort()
    },
  )
}
