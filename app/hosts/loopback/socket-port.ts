// A contract port over one WebSocket: JSON messages.

import type { WebSocket } from 'ws'
import type { Port } from '../../contract/wire/port.ts'

/** Bytes of answers not yet received. A window that stops receiving would fill the memory, so it is disconnected. */
const MOST_UNTAKEN_BYTES = 64 * 2 ** 20

/** A port over a WebSocket; messages are JSON. */
export function createSocketPort(socket: WebSocket): Port {
  // A malformed frame or a message that is too large. The socket closes with the status that says so
  // (RFC 6455, 7.4.1) and nothing else does; an error without a listener would end the program.
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
          // Not a message of the port; like any malformed message, it gets no answer.
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
