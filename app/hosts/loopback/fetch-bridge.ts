// Node's requests and answers as the fetch API's, which the sound routes speak in every host.

import type { IncomingMessage, ServerResponse } from 'node:http'
import { Readable } from 'node:stream'
import { pipeline } from 'node:stream/promises'
import type { Gate } from './admission.ts'

/** Isolation, so that the window gets shared memory; and nothing from anywhere else runs in it. */
const WINDOW_HEADERS = {
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-embedder-policy': 'require-corp',
  'cross-origin-resource-policy': 'same-origin',
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
} as const

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
  response.writeHead(answer.status, { ...Object.fromEntries(answer.headers), ...WINDOW_HEADERS })
  if (answer.body === null) response.end()
  else await pipeline(Readable.fromWeb(answer.body as never), response)
}
