// The services' end of a port: parses what is asked, once, runs the handler, and answers.

import { sentenceOf } from '../chain-document.ts'
import { Failure } from '../failure.ts'
import { answerCalls } from './calls.ts'
import { type CommandName, commands, type EventName, type EventOf, type Handlers } from './commands.ts'
import { PAGE_GONE } from './long-acts.ts'
import { type Port, readMessage } from './port.ts'

/** Calls of one window that may run at a time; nobody at a desk has a hundredth of that. */
const MOST_RUNNING = 1_000

/** Hears the program's events; gives back the way to stop. */
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
  let running = 0
  const unsubscribe = subscribe((name, data) => port.post({ type: 'event', name, data }))

  answerCalls(port, {
    read: readMessage,
    closedReason: PAGE_GONE,
    async answer(name, input, { signal, closed, report }) {
      running++
      try {
        if (running > MOST_RUNNING) {
          throw new Failure(
            'conflict',
            `This window already waits for ${MOST_RUNNING} answers; reload it, then try again.`,
          )
        }
        return await callHandler(handlers, name, input, { signal, page: closed, report })
      } catch (error) {
        if (!(error instanceof Failure)) logUnexpected(error)
        throw error
      } finally {
        running--
      }
    },
    closing: unsubscribe,
  })
}

/** Parses the input of a command by its schema and runs its handler. */
export async function callHandler(
  handlers: Handlers,
  name: string,
  input: unknown,
  context: Parameters<Handlers[CommandName]>[1],
): Promise<unknown> {
  if (!Object.hasOwn(commands, name)) {
    throw new Failure('invalid-input', `There is no command "${name}".`, { command: name })
  }
  const command = name as CommandName
  const parsed = commands[command].input.safeParse(input)
  if (!parsed.success) {
    throw new Failure('invalid-input', `${command} cannot be done as asked: ${sentenceOf(parsed.error)}.`, {
      command,
    })
  }
  // The name was looked up in the same map that types the handlers, so the pair fits.
  const handler = handlers[command] as (input: unknown, context: unknown) => Promise<unknown>
  return handler(parsed.data, context)
}
