// WebSockets: each open window has one, through which it calls the services.

import type { IncomingMessage, Server } from 'node:http'
import { WebSocketServer } from 'ws'
import { MAX_MESSAGE_BYTES } from '../../contract/wire/port.ts'
import { serve } from '../../contract/wire/serve.ts'
import { createHandlers } from '../../services/handlers.ts'
import type { Workplace } from '../../services/workplace.ts'
import { admit, type Door, isSameOrigin, KEYLESS } from './admission.ts'
import { type Refusal, refuseSocket, TOO_MANY } from './refusal.ts'
import { shapeRefusal } from './request-shape.ts'
import { createSocketPort } from './socket-port.ts'

const MAX_WINDOWS = 64

export function openWindows(
  server: Server,
  { gate, keys, connections }: Door,
  workplace: Workplace,
  logUnexpected: (error: unknown) => void,
): void {
  const handlers = createHandlers(workplace)
  const sockets = new WebSocketServer({ noServer: true, maxPayload: MAX_MESSAGE_BYTES })

  const refusalOf = (request: IncomingMessage): Refusal | null => {
    const misshapen = shapeRefusal(request)
    if (misshapen !== null) return misshapen
    if (request.url !== '/port' || !isSameOrigin(request, gate)) {
      return {
        status: 403,
        sentence: 'Only the window may open a connection of this kind, and only at /port.',
      }
    }
    const admission = admit(request, gate, keys)
    if (admission.kind === 'refused') return admission.refusal
    if (admission.kind !== 'in' || !admission.hasPageKey) return KEYLESS
    return sockets.clients.size < MAX_WINDOWS && connections.letIn(request.socket) ? null : TOO_MANY
  }

  server.on('upgrade', (request, socket, head) => {
    const refusal = refusalOf(request)
    if (refusal !== null) return refuseSocket(socket, refusal)
    sockets.handleUpgrade(request, socket, head, (webSocket) =>
      serve(createSocketPort(webSocket), handlers, workplace.subscribe, logUnexpected),
    )
  })
}
