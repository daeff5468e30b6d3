// Connects a window in a browser: a contract port over one WebSocket.

import type { WebSocket } from 'ws'
import { isBoundedJson } from '../../contract/text/read-json.ts'
import type { Port } from '../../contract/wire/port.ts'

/** Limit of unsent bytes. A window that stops reading would fill the memory, so it is disconnected. */
const MAX_UNTAKEN_BYTES = 64 * 2 ** 20
/** RFC 6455, 7.4.1: the message violates the policy of the receiver. */
const POLICY_VIOLATION = 1008

/** A port over a WebSocket; messages are JSON. */
export function createSocketPort(socket: WebSocket): Port {
  // Emitted for a malformed frame or an oversized message. The library closes the socket with the
  // matching status (RFC 6455, 7.4.1); without a listener the error would crash the process.
  socket.on('error', () => {})
  return {
    post(message) {
      if (socket.readyState !== socket.OPEN) return
      socket.send(JSON.stringify(message))
      if (socket.bufferedAmount > MAX_UNTAKEN_BYTES) socket.terminate()
    },
    listen(hear, closed) {
      const onMessage = (data: Buffer): void => {
        const text = data.toString('utf8')
        if (!isBoundedJson(text)) {
          // More such messages may already be queued, so stop parsing them.
          socket.off('message', onMessage)
          socket.close(POLICY_VIOLATION, 'The message contains too many objects or arrays.')
          return
        }
        let message: unknown
        try {
          message = JSON.parse(text)
        } catch {
          // Not JSON; like any malformed message, it gets no answer.
          return
        }
        hear(message, data.length)
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
