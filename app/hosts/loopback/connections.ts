// The host's connections, counted, so that no number of them takes the machine's memory or the
// window's way in. Any user of this machine can open one; only its first request shows whether it is legitimate.

import type { IncomingMessage, Server, ServerResponse } from 'node:http'
import type { Socket } from 'node:net'

/** Connections that wait to be accepted. Where there is no room, the system tries again only after a second. */
export const BACKLOG = 1_024
/** Connections that have not been let in. One is accepted at a time, so each has a while to say its word. */
const MOST_STRANGERS = 256
/** A browser opens six for requests, and one for each window. */
const MOST_INSIDE = 256
/** Never reached by those two; keeps what they do not count from taking every handle. */
export const MOST_CONNECTIONS = 1_024
/** Requests sent on one connection before the first is answered; browsers send one. */
const MOST_WAITING = 8

/** The connections of a server. */
export interface Connections {
  /** Says that a request on it was let in; false where too many are in. */
  letIn(socket: Socket): boolean
  /** Counts a request until it is answered; false where this connection has too many. */
  begin(request: IncomingMessage, response: ServerResponse): boolean
  /** Whether an answer is on its way on it. */
  isAnswering(socket: Socket): boolean
  /** Cuts them all, also those that speak WebSocket. */
  cut(): void
}

/** Counts the connections of a server and closes the oldest unauthenticated one when there are too many. */
export function countConnections(server: Server): Connections {
  // In the order in which they came.
  const strangers = new Set<Socket>()
  const inside = new Set<Socket>()
  const waiting = new WeakMap<Socket, number>()

  server.on('connection', (socket) => {
    // Node takes its own listeners off a connection that is upgraded; this one stays to the end, because a
    // reset that nobody listens for ends the whole program. What a reset means is known from "close".
    socket.on('error', () => {})
    socket.once('close', () => {
      strangers.delete(socket)
      inside.delete(socket)
    })
    strangers.add(socket)
    // The oldest goes, not the newest: who comes in a flood still gets in by asking at once, as a window does.
    if (strangers.size > MOST_STRANGERS) {
      const [oldest] = strangers
      strangers.delete(oldest)
      oldest.destroy()
    }
  })

  return {
    letIn(socket) {
      if (inside.has(socket)) return true
      if (inside.size >= MOST_INSIDE || !strangers.delete(socket)) return false
      inside.add(socket)
      return true
    },
    begin({ socket }, response) {
      const count = (waiting.get(socket) ?? 0) + 1
      if (count > MOST_WAITING) return false
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
