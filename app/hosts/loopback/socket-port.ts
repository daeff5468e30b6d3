// A contract port over one WebSocket: JSON messages.

import type { WebSocket } from 'ws'
import type { Port } from '../../contract/port.ts'

export function createSocketPort(socket: WebSocket): Port {
  return {
    post(message) {
      if (socket.readyState === socket.OPEN) socket.send(JSON.stringify(message))
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
