// The window's end of a port: a function per command, progress, cancel, and events.

import {
  type CommandName,
  commands,
  type EventName,
  type EventOf,
  events,
  type InputOf,
  type OutputOf,
} from './commands.ts'
import { Failure } from './failure.ts'
import { Message, type Port } from './port.ts'

export interface CallOptions {
  readonly signal?: AbortSignal
  readonly onProgress?: (fraction: number, doing: string) => void
}

export type Client = {
  readonly [C in CommandName]: (input: InputOf<C>, options?: CallOptions) => Promise<OutputOf<C>>
}

export interface Connection {
  readonly client: Client
  /** Hears one kind of event; gives back the way to stop. */
  on<E extends EventName>(name: E, hear: (data: EventOf<E>) => void): () => void
}

interface Waiting {
  resolve(output: unknown): void
  reject(error: Failure): void
  onProgress: CallOptions['onProgress']
}

/** Connects to the services over a port. After the port has closed every call fails with a sentence that says so. */
export function connect(port: Port): Connection {
  const waiting = new Map<number, Waiting>()
  const listeners = new Map<EventName, Set<(data: never) => void>>()
  let lastId = 0
  let isClosed = false
  const gone = (): Failure =>
    new Failure(
      'unexpected',
      'The connection to Takeloft has ended; reload the window to go on. What was saved is safe.',
    )

  port.listen(
    (raw) => {
      const parsed = Message.safeParse(raw)
      if (!parsed.success) return
      const message = parsed.data
      if (message.type === 'event') {
        if (!Object.hasOwn(events, message.name)) return
        const name = message.name as EventName
        const data = events[name].safeParse(message.data)
        if (data.success) for (const hear of listeners.get(name) ?? []) hear(data.data as never)
        return
      }
      const call = waiting.get(message.type === 'ask' || message.type === 'cancel' ? -1 : message.id)
      if (call === undefined) return
      if (message.type === 'progress') call.onProgress?.(message.fraction, message.doing)
      else if (message.type === 'done') {
        waiting.delete(message.id)
        call.resolve(message.output)
      } else if (message.type === 'failed') {
        waiting.delete(message.id)
        call.reject(Failure.fromData(message.failure))
      }
    },
    () => {
      isClosed = true
      for (const call of waiting.values()) call.reject(gone())
      waiting.clear()
    },
  )

  const ask = (command: CommandName, input: unknown, options: CallOptions = {}): Promise<unknown> =>
    new Promise((resolve, reject) => {
      if (isClosed) return reject(gone())
      const id = ++lastId
      waiting.set(id, { resolve, reject, onProgress: options.onProgress })
      options.signal?.addEventListener('abort', () => {
        if (waiting.has(id)) port.post({ type: 'cancel', id })
      })
      port.post({ type: 'ask', id, command, input })
    })

  const client = Object.fromEntries(
    (Object.keys(commands) as CommandName[]).map((name) => [
      name,
      (input: unknown, options?: CallOptions) => ask(name, input, options),
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
