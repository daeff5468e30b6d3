// The loopback host: the window and the services for the browsers of one user of this machine. It listens
// on 127.0.0.1 only, admits only browsers that opened one of its addresses, and survives whatever is sent
// to it.

import { createServer, type Server } from 'node:http'
import type { AddressInfo } from 'node:net'
import { Failure } from '../../contract/failure.ts'
import { careForCatalogue } from '../../services/catalogue-care.ts'
import type { Workplace } from '../../services/workplace.ts'
import type { Gate } from './admission.ts'
import { answerRequests } from './answer-requests.ts'
import { BACKLOG, countConnections, MAX_CONNECTIONS } from './connections.ts'
import { createKeys } from './keys.ts'
import { openWindows } from './open-windows.ts'
import { refuseBytes } from './refuse-bytes.ts'

/** A host that is listening. */
export interface LoopbackHost {
  /** Opens the window in one browser, once; a new one is logged when a browser without a session asks. */
  readonly address: string
  close(): Promise<void>
}

/** Options of the loopback host. */
export interface LoopbackOptions {
  /** 0: any free one. */
  readonly port: number
  /** Receives messages for the user and unexpected internal errors. */
  readonly log: (message: string) => void
}

const TIMES_MS = {
  /** Limit for receiving a request's headers; it also applies to a connection that sends nothing. */
  headersTimeout: 10_000,
  connectionsCheckingInterval: 1_000,
  // No limit, because a take may be long and its disk slow; QUIET_MS ends requests that stall.
  requestTimeout: 0,
  /** Long, so that a window needs no new connections while others compete for them. */
  keepAliveTimeout: 60_000,
}
/** Longest time without a byte sent or received during a request or an answer. */
const QUIET_MS = 600_000

/** @throws Failure `conflict` when the port is taken or not permitted */
export async function startLoopbackHost(
  workplace: Workplace,
  { port, log }: LoopbackOptions,
): Promise<LoopbackHost> {
  const logUnexpected = (error: unknown): void =>
    log(error instanceof Error ? (error.stack ?? error.message) : String(error))
  const server = createServer({ ...TIMES_MS, maxHeaderSize: 16_384 })
  server.timeout = QUIET_MS
  server.maxConnections = MAX_CONNECTIONS
  const connections = countConnections(server)
  await listen(server, port)
  // For example, when no handle is left for a connection.
  server.on('error', logUnexpected)

  const gate = gateOf(server)
  const keys = createKeys()
  const freshAddress = (): string => `${gate.origin}/?token=${keys.makeToken()}`
  const door = { gate, keys, connections }
  const offerAddress = (): void => {
    // One address waits at a time, so that requests cannot flood the terminal.
    if (keys.isWaiting()) return
    log(`A browser without a session was refused. This address lets one in, once: ${freshAddress()}`)
  }
  answerRequests(server, door, workplace, offerAddress, logUnexpected)
  openWindows(server, door, workplace, logUnexpected)
  refuseBytes(server, connections)

  const stopCare = careForCatalogue(workplace)
  return {
    address: freshAddress(),
    close: () =>
      new Promise((resolve) => {
        stopCare()
        server.close(() => resolve())
        connections.cut()
      }),
  }
}

function listen(server: Server, port: number): Promise<void> {
  return new Promise((resolve, reject) => {
    const onError = (error: Error): void => reject(listenFailure(error, port))
    server.once('error', onError)
    server.listen({ port, host: '127.0.0.1', backlog: BACKLOG }, () => {
      server.off('error', onError)
      resolve()
    })
  })
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

function gateOf(server: Server): Gate {
  const { port } = server.address() as AddressInfo
  // In the form that browsers send: without the port if it is HTTP's default.
  const { host, origin } = new URL(`http://127.0.0.1:${port}`)
  return { port, host, origin }
}
