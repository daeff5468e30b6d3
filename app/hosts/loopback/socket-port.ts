// A contract port over one WebSocket: JSON messages.

import type { WebSocket } from 'ws'
import type { Port } from '../../contract/wire/port.ts'

/** Answers that a window has not taken yet. One that takes none any more would fill the memory: it is let go. */
const MOST_UNTAKEN_BYTES = 64 * 2 ** 20

/** A port over a WebSocket; messages are JSON. */
export function createSocketPort(socket: WebSocket): Port {
  // A malformed frame or a message that is too large. The socket closes with the status that says so
  // (RFC 6455, 7.4.1) and nothing else does; an error that nobody listens for would end the program.
  socket.on('error', () => {})
  return {
    post(message) {
      if (socket.readyState !== socket.OPEN) return
      socket.send(JSON.stringify(message))
      if (socket.bufferedAmount > MOST_UNTAKEN_BYTES) socket.terminate()
    },
    listen(hear, closed) {
      const onMessage = (data: Buffer): void => {
        let message: unknown
        try {
          message = JSON.parse(data.toString('utf8'))
        } catch {
          // Not ours; whoever sent it gets no answer, as with any message that is none.
          return
        }
        hear(message)
      }
      socket.on('message', onMessage)
      socket.on('close', closed)
      return () => {
        socket.off('message', onMessage)
        socket.off('close', closed)
      }
    },
  }
}
