// Refusals: a status and one sentence, in response to a request or on a raw socket.

import { type IncomingMessage, type ServerResponse, STATUS_CODES } from 'node:http'
import type { Duplex } from 'node:stream'

/** An HTTP status with its sentence. */
export interface Refusal {
  readonly status: number
  readonly sentence: string
  readonly headers?: Readonly<Record<string, string>>
}

/** When too many windows or connections are open. */
export const TOO_MANY: Refusal = {
  status: 503,
  sentence: 'Too many windows or requests are open; close some windows, then try again.',
}

/** How long the rest of a refused body is read, so that its sender receives the answer, ms. */
const LINGER_MS = 5_000

/** Answers and ends the connection; a refused caller has to connect again. */
export function refuse(request: IncomingMessage, response: ServerResponse, refusal: Refusal): void {
  const { headers, body } = messageOf(refusal)
  response.writeHead(refusal.status, headers)
  response.write(body)
  if (!hasBody(request)) {
    response.end()
    return
  }
  // Closing a connection with unread bytes resets it, and the answer may be lost.
  const timer = setTimeout(() => response.end(), LINGER_MS)
  response.once('close', () => clearTimeout(timer))
  request.once('end', () => response.end())
  request.resume()
}

/** After an answer, reads what is still being sent for up to LINGER_MS, then closes the connection. */
export function dropRest(request: IncomingMessage): void {
  if (request.complete) return
  const timer = setTimeout(() => request.socket.destroy(), LINGER_MS)
  request.once('close', () => clearTimeout(timer))
  request.resume()
}

/** Refuses on a socket that has no response object: after an upgrade request, or bytes that are not HTTP. */
export function refuseSocket(socket: Duplex, refusal: Refusal): void {
  if (!socket.writable) {
    socket.destroy()
    return
  }
  const { headers, body } = messageOf(refusal)
  const lines = Object.entries(headers).map(([name, value]) => `${name}: ${value}\r\n`)
  const head = `HTTP/1.1 ${refusal.status} ${STATUS_CODES[refusal.status]}\r\n${lines.join('')}\r\n`
  socket.end(`${head}${body}`, () => socket.destroy())
}

/** Whether a request announces a body. */
export const hasBody = ({ headers }: IncomingMessage): boolean =>
  headers['transfer-encoding'] !== undefined || Number(headers['content-length'] ?? 0) > 0

function messageOf({ sentence, headers }: Refusal): { headers: Record<string, string>; body: string } {
  const body = `${sentence}\n`
  return {
    body,
    headers: {
      'content-type': 'text/plain; charset=utf-8',
      'content-length': String(Buffer.byteLength(body)),
      'cache-control': 'no-store',
      'x-content-type-options': 'nosniff',
      'referrer-policy': 'no-referrer',
      connection: 'close',
      ...headers,
    },
  }
}
