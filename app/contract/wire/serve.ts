// The services' end of a port: validates each call once, runs its handler, and answers.

import { Failure } from '../failure.ts'
import { PAGE_GONE } from './background-tasks.ts'
import { callHandler } from './call-handler.ts'
import { answerCalls } from './calls.ts'
import type { EventName, EventOf, Handlers } from './commands.ts'
import { type Port, readMessage } from './port.ts'

/** Calls of one window at a time; a hundred times what normal use needs. */
const MAX_RUNNING = 1_000
/** Total size of the requests of those calls, which stay in memory until they are answered: 64 MiB. */
const MAX_RUNNING_BYTES = 64 * 2 ** 20

/** Subscribes to the program's events; returns a function that unsubscribes. */
export type Subscribe = (hear: <E extends EventName>(name: E, data: EventOf<E>) => void) => () => void

/**
 * Serves one port until it closes. Running calls except background tasks are then cancelled, and everything
 * that the page has opened is closed (CallContext.page).
 * @param logUnexpected gets errors that are not Failures, for the host's log
 */
export function serve(
  port: Port,
  handlers: Handlers,
  subscribe: Subscribe,
  logUnexpected: (error: unknown) => void,
): void {
  let running = 0
  let runningBytes = 0
  const unsubscribe = subscribe((name, data) => port.post({ type: 'event', name, data }))

  answerCalls(port, {
    read: readMessage,
    closedReason: PAGE_GONE,
    async answer(name, input, { signal, closed, bytes, report }) {
      running++
      runningBytes += bytes
      try {
        if (running > MAX_RUNNING) {
          throw new Failure(
            'conflict',
            `This window is already waiting for ${MAX_RUNNING} answers; reload it, then try again.`,
          )
        }
        if (runningBytes > MAX_RUNNING_BYTES) {
          throw new Failure(
            'conflict',
            'This window is already waiting for answers to 64 MB of requests; wait for some, then try again.',
          )
        }
        return await callHandler(handlers, name, input, { signal, page: closed, report })
      } catch (error) {
        if (!(error instanceof Failure)) logUnexpected(error)
        throw error
      } finally {
        running--
        runningBytes -= bytes
      }
    },
    closing: unsubscribe,
  })
}
