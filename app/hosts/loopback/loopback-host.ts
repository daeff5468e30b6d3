// The loopback host: the window and the services for one ordinary browser on this machine.
// It listens on 127.0.0.1 only, and lets nobody in who does not have the token.

import { randomBytes } from 'node:crypto'
import { createServer, type IncomingMessage, type Server, type ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import type { Duplex } from 'node:stream'
import { WebSocketServer } from 'ws'
import { Failure } from '../../contract/failure.ts'
import { serve } from '../../contract/serve.ts'
import { careForCatalogue } from '../../services/catalogue-care.ts'
import { createHandlers } from '../../services/handlers.ts'
import type { Workplace } from '../../services/workplace.ts'
import { createWindowAnswers } from '../window-answers.ts'
import { admit, type Gate, isSameOrigin } from './admission.ts'
import { answerAsNode, requestOf } from './fetch-bridge.ts'
import { createSocketPort } from './socket-port.ts'

export interface LoopbackHost {
  /** Opens the window; holds the token. */
  readonly address: string
  close(): Promise<void>
}

export interface LoopbackOptions {
  /** 0: any free one. */
  readonly port: number
  /** Hears what the person at the desk should read, and errors that are nobody's fault but ours. */
  readonly log: (message: string) => void
}

/** @throws Failure `conflict` where the port cannot be had */
export async function startLoopbackHost(
  workplace: Workplace,
  { port, log }: LoopbackOptions,
): Promise<LoopbackHost> {
  const handlers = createHandlers(workplace)
  const answers = createWindowAnswers(workplace)
  const logUnexpected = (error: unknown): void =>
    log(error instanceof Error ? (error.stack ?? error.message) : String(error))

  const answer = async (request: IncomingMessage, response: ServerResponse, gate: Gate): Promise<void> => {
    const admitted = admit(request, gate)
    if (admitted !== 'in') return admitted(response)
    await answerAsNode(response, await answers(requestOf(request, gate)))
  }

  const server = createServer((request, response) => {
    answer(request, response, gateOf(server, token)).catch((error: unknown) => {
      logUnexpected(error)
      if (!response.headersSent) response.writeHead(500)
      response.end()
    })
  })
  const token = randomBytes(24).toString('base64url')

  const sockets = new WebSocketServer({ noServer: true, maxPayload: 16 * 1024 * 1024 })
  server.on('upgrade', (request: IncomingMessage, socket: Duplex, head: Buffer) => {
    const gate = gateOf(server, token)
    if (request.url !== '/port' || admit(request, gate) !== 'in' || !isSameOrigin(request, gate)) {
      socket.end('HTTP/1.1 403 Forbidden\r\nconnection: close\r\n\r\n')
      return
    }
    sockets.handleUpgrade(request, socket, head, (webSocket) => {
      serve(createSocketPort(webSocket), handlers, workplace.subscribe, logUnexpected)
    })
  })

  await new Promise<void>((resolve, reject) => {
    server.once('error', (error) => reject(listenFailure(error, port)))
    server.listen(port, '127.0.0.1', resolve)
  })
  const stopCare = careForCatalogue(workplace)
  return {
    address: `${gateOf(server, token).origin}/?token=${token}`,
    close: () =>
      new Promise((resolve) => {
        stopCare()
        for (const client of sockets.clients) client.terminate()
        server.close(() => resolve())
        server.closeAllConnections()
      }),
  }
}

function listenFailure(error: NodeJS.ErrnoException, port: number): Error {
  const sentence =
    error.code === 'EADDRINUSE'
      ? `Port ${port} is taken by another program, perhaps another Takeloft`
      : error.code === 'EACCES'
        ? `This user may not listen on port ${port}`
        : null
  if (sentence === null) return error
  return new Failure('conflict', `${sentence}; choose another, or none for any free one.`, { port }, error)
}

function gateOf(server: Server, token: string): Gate {
  const { port } = server.address() as AddressInfo
  return { token, port, host: `127.0.0.1:${port}`, origin: `http://127.0.0.1:${port}` }
}
