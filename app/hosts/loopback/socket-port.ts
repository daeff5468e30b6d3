// A contract port over one WebSocket: JSON messages.

import type { WebSocket } from 'ws'
import { isBoundedJson } from '../../contract/text/read-json.ts'
import type { Port } from '../../contract/wire/port.ts'

/** Bytes of answers not yet received. A window that stops receiving would fill the memory, so it is disconnected. */
const MOST_UNTAKEN_BYTES = 64 * 2 ** 20
/** RFC 6455, 7.4.1: a message that breaks the rules of whoever receives it. */
const POLICY_VIOLATION = 1008

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
        const text = data.toString('utf8')
        if (!isBoundedJson(text)) {
          // Who sends one such message may have sent a hundred, which are not looked at any more.
          socket.off('message', onMessage)
          socket.close(
            POLICY_VIOLATION,
            'A message holds more objects or lists than any that a window sends.',
          )
          return
        }
        let message: unknown
        try {
          message = JSON.parse(text)
        } catch {
          // Not a message of the port; like any malformed message, it gets no answer.
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
