// The window's end of a port: a function per command, progress, cancel, and events.

import { cancelledFailure, Failure } from '../failure.ts'
import {
  type CommandName,
  commands,
  type EventName,
  type EventOf,
  events,
  type InputOf,
  type OutputOf,
} from './commands.ts'
import { Message, type Port } from './port.ts'

/** Cancel and progress of one call. */
export interface CallOptions {
  /** Cancels the call; one that is aborted already keeps it from being sent. */
  readonly signal?: AbortSignal
  readonly onProgress?: (fraction: number, doing: string) => void
}

type Client = {
  readonly [C in CommandName]: (input: InputOf<C>, options?: CallOptions) => Promise<OutputOf<C>>
}

/** The window’s end of a port. */
export interface Connection {
  readonly client: Client
  /** Hears one kind of event; gives back the way to stop. */
  on<E extends EventName>(name: E, hear: (data: EventOf<E>) => void): () => void
}

interface Waiting {
  resolve(output: unknown): void
  reject(error: Failure): void
  onProgress: CallOptions['onProgress']
  /** A signal may outlive its call, so the call leaves no listener on it. */
  letGoOfSignal(): void
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

  /** The call that has ended; undefined when no caller waits for it. */
  const ended = (id: number): Waiting | undefined => {
    const call = waiting.get(id)
    waiting.delete(id)
    call?.letGoOfSignal()
    return call
  }

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
      if (message.type === 'progress') waiting.get(message.id)?.onProgress?.(message.fraction, message.doing)
      else if (message.type === 'done') ended(message.id)?.resolve(message.output)
      else if (message.type === 'failed') ended(message.id)?.reject(Failure.fromData(message.failure))
    },
    () => {
      isClosed = true
      for (const id of [...waiting.keys()]) ended(id)?.reject(gone())
    },
  )

  const ask = (command: CommandName, input: unknown, options: CallOptions = {}): Promise<unknown> =>
    new Promise((resolve, reject) => {
      const { signal, onProgress } = options
      if (isClosed) return reject(gone())
      if (signal?.aborted) return reject(cancelledFailure())
      const id = ++lastId
      const cancel = (): void => port.post({ type: 'cancel', id })
      signal?.addEventListener('abort', cancel)
      waiting.set(id, {
        resolve,
        reject,
        onProgress,
        letGoOfSignal: () => signal?.removeEventListener('abort', cancel),
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
