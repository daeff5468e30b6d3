// The window's end of a port: a function per command, progress, cancel, and events.

import { Failure } from '../failure.ts'
import { type CallOptions, createCaller } from './calls.ts'
import {
  type CommandName,
  commands,
  type EventName,
  type EventOf,
  events,
  type InputOf,
  type OutputOf,
} from './commands.ts'
import { type Port, readMessage } from './port.ts'

type Client = {
  readonly [C in CommandName]: (input: InputOf<C>, options?: CallOptions) => Promise<OutputOf<C>>
}

/** The window’s end of a port. */
export interface Connection {
  readonly client: Client
  /** Subscribes to one kind of event; returns a function that unsubscribes. */
  on<E extends EventName>(name: E, hear: (data: EventOf<E>) => void): () => void
}

/** Connects to the services over a port. After the port has closed, every call fails and says so. */
export function connect(port: Port): Connection {
  const listeners = new Map<EventName, Set<(data: never) => void>>()
  const call = createCaller(port, {
    read: readMessage,
    closedFailure: () =>
      new Failure(
        'unexpected',
        'The connection to Takeloft has ended; reload the window to go on. What was saved is safe.',
      ),
    hearEvent(event, data) {
      if (!Object.hasOwn(events, event)) return
      const name = event as EventName
      const parsed = events[name].safeParse(data)
      if (parsed.success) for (const hear of listeners.get(name) ?? []) hear(parsed.data as never)
    },
  })

  const client = Object.fromEntries(
    (Object.keys(commands) as CommandName[]).map((name) => [
      name,
      (input: unknown, options?: CallOptions) => call(name, input, options),
    ]),
  ) as unknown as Client

  return {
    client,
    on(name, hear) {
      const set = listeners.get(name) ?? new Set()
      listeners.set(name, set)
      set.add(hear as (data: never) => void)
      return () => set.delete(hear as (data: never) => void)
    },
  }
}
