// Node's requests and answers as the fetch API's, which the sound routes speak in every host.

import type { IncomingMessage, ServerResponse } from 'node:http'
import { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import type { Gate } from './admission.ts'

export function requestOf(request: IncomingMessage, gate: Gate): Request {
  const method = request.method ?? 'GET'
  return new Request(new URL(request.url ?? '/', gate.origin), {
    method,
    ...(method === 'GET' || method === 'HEAD'
      ? {}
      : { body: Readable.toWeb(request) as never, duplex: 'half' as const }),
  })
}

export async function answerAsNode(response: ServerResponse, answer: Response): Promise<void> {
  // A window that jumps elsewhere drops the spans it asked for; nobody is there to be told.
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
