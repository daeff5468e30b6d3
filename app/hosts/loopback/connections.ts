// Limits the host's connections, so that no number of them exhausts memory or locks out the window. Any user
// of this machine can open a connection; only its first request shows whether it is legitimate.

import type { IncomingMessage, Server, ServerResponse } from 'node:http'
import type { Socket } from 'node:net'

/** Connections waiting to be accepted. When the queue is full, the system retries only after a second. */
export const BACKLOG = 1_024
/** Connections not yet admitted. They are accepted one at a time, so each has time to send its request. */
const MAX_STRANGERS = 256
/** Admitted connections. A browser opens six for requests, and one for each window. */
const MAX_INSIDE = 256
/** More than those two together; keeps connections that they do not count from using up all handles. */
export const MAX_CONNECTIONS = 1_024
/** Requests sent on one connection before the first is answered; browsers send one. */
const MAX_WAITING = 8

/** The connections of a server. */
export interface Connections {
  /** Marks a connection as admitted; false when too many are. */
  letIn(socket: Socket): boolean
  /** Counts a request until it is answered; false when its connection has too many. */
  begin(request: IncomingMessage, response: ServerResponse): boolean
  /** Whether a request on this connection is still being answered. */
  isAnswering(socket: Socket): boolean
  /** Closes all connections, including WebSockets. */
  cut(): void
}

/** Counts the connections of a server and closes the oldest unauthenticated one when there are too many. */
export function countConnections(server: Server): Connections {
  // In order of arrival.
  const strangers = new Set<Socket>()
  const inside = new Set<Socket>()
  const waiting = new WeakMap<Socket, number>()

  server.on('connection', (socket) => {
    // Node removes its own listeners from an upgraded connection, and a reset without an error listener
    // would end the whole program. The "close" event is all that is needed to handle a reset.
    socket.on('error', () => {})
    socket.once('close', () => {
      strangers.delete(socket)
      inside.delete(socket)
    })
    strangers.add(socket)
    // The oldest is closed, not the newest: even during a flood, a client that sends its request at once, as
    // a window does, is admitted.
    if (strangers.size > MAX_STRANGERS) {
      const [oldest] = strangers
      strangers.delete(oldest)
      oldest.destroy()
    }
  })

  return {
    letIn(socket) {
      if (inside.has(socket)) return true
      if (inside.size >= MAX_INSIDE || !strangers.delete(socket)) return false
      inside.add(socket)
      return true
    },
    begin({ socket }, response) {
      const count = (waiting.get(socket) ?? 0) + 1
      if (count > MAX_WAITING) return false
      waiting.set(socket, count)
      response.once('close', () => waiting.set(socket, (waiting.get(socket) ?? 1) - 1))
      return true
    },
    isAnswering: (socket) => (waiting.get(socket) ?? 0) > 0,
    cut() {
      for (const socket of [...strangers, ...inside]) socket.destroy()
    },
  }
}
