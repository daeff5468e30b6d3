// The messages between a window and the services, and the interface of a transport.

import { z } from 'zod'
import { FailureData } from './failure-data.ts'

/** A message over a port, in either direction. */
export const Message = z.discriminatedUnion('type', [
  // A missing input is accepted here, so that the answer can say what is missing.
  z.object({ type: z.literal('ask'), id: z.int(), command: z.string(), input: z.unknown().optional() }),
  z.object({ type: z.literal('cancel'), id: z.int() }),
  z.object({ type: z.literal('progress'), id: z.int(), fraction: z.number(), doing: z.string() }),
  z.object({ type: z.literal('done'), id: z.int(), output: z.unknown() }),
  z.object({ type: z.literal('failed'), id: z.int(), failure: FailureData }),
  z.object({ type: z.literal('event'), name: z.string(), data: z.unknown() }),
])
export type Message = z.infer<typeof Message>

/** null: not a message. */
export const readMessage = (raw: unknown): Message | null => Message.safeParse(raw).data ?? null

/** Limit of one message over a socket: 16 MiB. The longest in practice is a curve's text, some kilobytes. */
export const MAX_MESSAGE_BYTES = 16 * 1024 * 1024

/**
 * Sends and receives messages. `listen` returns a function that stops it; `closed` runs once the other
 * side is gone. `bytes` is the length of a message, if the transport reports it.
 */
export interface Port {
  post(message: Message): void
  listen(hear: (message: unknown, bytes?: number) => void, closed: () => void): () => void
}
