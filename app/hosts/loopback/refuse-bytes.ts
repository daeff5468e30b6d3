// Refuses bytes that are not HTTP, requests that do not arrive in time, and tunnels, which only proxies open.

import type { Server } from 'node:http'
import type { Socket } from 'node:net'
import type { Connections } from './connections.ts'
import { type Refusal, refuseSocket } from './refusal.ts'
import { noSuchMethod } from './request-shape.ts'

/** Answers bytes that are not HTTP with a refusal, and closes the connection. */
export function refuseBytes(server: Server, connections: Connections): void {
  server.on('connect', (_request, socket) => refuseSocket(socket, noSuchMethod()))
  server.on('clientError', (error, socket) => {
    // During an answer, a second one would be read as part of the first, so only the first is sent.
    if (connections.isAnswering(socket as Socket)) (socket as Socket).destroySoon()
    else refuseSocket(socket, refusalOf(error))
  })
}

function refusalOf(error: NodeJS.ErrnoException & { rawPacket?: Buffer }): Refusal {
  switch (error.code) {
    case 'HPE_INVALID_METHOD':
      if (/^[A-Z]+ \S+ HTTP\/1\.[01]\r?\n/.test(error.rawPacket?.toString('latin1') ?? '')) {
        return noSuchMethod()
      }
      break
    case 'HPE_HEADER_OVERFLOW':
      return { status: 431, sentence: 'The headers of this request are too long.' }
    case 'ERR_HTTP_REQUEST_TIMEOUT':
      return { status: 408, sentence: 'The request did not arrive in time.' }
  }
  return { status: 400, sentence: 'This is no request.' }
}
