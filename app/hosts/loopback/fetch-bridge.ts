// Converts between Node's requests and responses and those of the fetch API, which the sound routes use in
// every host.

import type { IncomingMessage, ServerResponse } from 'node:http'
import { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import type { Gate } from './admission.ts'
import { type BodyLimit, bodyUpTo } from './bodies.ts'

/** Joined, not resolved: a path that begins with two slashes would name another host. */
export const urlOf = ({ url }: IncomingMessage, { origin }: Gate): URL => new URL(`${origin}${url}`)

/** @param limit of the body; null for a request without one */
export function requestOf(request: IncomingMessage, gate: Gate, limit: BodyLimit | null): Request {
  return new Request(urlOf(request, gate), {
    ...(request.method === undefined ? {} : { method: request.method }),
    ...(limit === null
      ? {}
      : { body: Readable.toWeb(Readable.from(bodyUpTo(limit, request))) as never, duplex: 'half' as const }),
  })
}

/** Sends a Response of the fetch standard through Node’s server. */
export async function answerAsNode(response: ServerResponse, answer: Response): Promise<void> {
  // A window that seeks aborts its requests for spans; there is nobody to report to.
  if (response.destroyed) return
  response.writeHead(answer.status, Object.fromEntries(answer.headers))
  if (answer.body === null) {
    response.end()
    return
  }
  try {
    await pipeline(Readable.fromWeb(answer.body as never), response)
  } catch (error) {
    if (!response.destroyed) throw error
  }
}
