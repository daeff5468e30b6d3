// The services' end of a port: validates each call once, runs its handler, and answers.

import { Failure, failureDataOf } from '../failure.ts'
import { callHandler } from './call-handler.ts'
import type { EventName, EventOf, Handlers } from './commands.ts'
import { PAGE_GONE } from './long-acts.ts'
import { Message, type Port } from './port.ts'

/** Calls of one window that may run at a time, a hundred times what normal use needs. */
const MOST_RUNNING = 1_000
/** Bytes of the questions that those calls came with, which are kept until they are answered: 64 MiB. */
const MOST_RUNNING_BYTES = 64 * 2 ** 20

/** Subscribes to the program's events; returns a function that unsubscribes. */
export type Subscribe = (hear: <E extends EventName>(name: E, data: EventOf<E>) => void) => () => void

/**
 * Serves one port until it closes. Calls that still run then are cancelled, except long acts, and what the page
 * has opened ends with it (CallContext.page).
 * @param logUnexpected gets errors that are not Failures, for the host's log
 */
export function serve(
  port: Port,
  handlers: Handlers,
  subscribe: Subscribe,
  logUnexpected: (error: unknown) => void,
): void {
  const running = new Map<number, AbortController>()
  let runningBytes = 0
  const page = new AbortController()
  const unsubscribe = subscribe((name, data) => port.post({ type: 'event', name, data }))

  const answer = async (id: number, name: string, input: unknown, bytes: number): Promise<void> => {
    // A cancel could mean either of two calls with one number.
    if (running.has(id)) return
    const abort = new AbortController()
    running.set(id, abort)
    runningBytes += bytes
    try {
      if (running.size > MOST_RUNNING) {
        throw new Failure(
          'conflict',
          `This window already waits for ${MOST_RUNNING} answers; reload it, then try again.`,
        )
      }
      if (runningBytes > MOST_RUNNING_BYTES) {
        throw new Failure(
          'conflict',
          'This window already waits for answers to 64 MB of questions; wait for some, then try again.',
        )
      }
      const output = await callHandler(handlers, name, input, {
        signal: abort.signal,
        page: page.signal,
        report: (fraction, doing) => port.post({ type: 'progress', id, fraction, doing }),
      })
      port.post({ type: 'done', id, output })
    } catch (error) {
      if (!(error instanceof Failure)) logUnexpected(error)
      port.post({ type: 'failed', id, failure: failureDataOf(error) })
    } finally {
      running.delete(id)
      runningBytes -= bytes
    }
  }

  const stop = port.listen(
    (raw, bytes = 0) => {
      const parsed = Message.safeParse(raw)
      if (!parsed.success) return
      const message = parsed.data
      if (message.type === 'ask') void answer(message.id, message.command, message.input, bytes)
      else if (message.type === 'cancel') running.get(message.id)?.abort()
    },
    () => {
      stop()
      unsubscribe()
      for (const abort of running.values()) abort.abort(PAGE_GONE)
      page.abort()
    },
  )
}
