// Who is let in: requests to this very address (no other host name may lead here), from this
// very origin, with the token; first in the address, from then on in a cookie that scripts cannot read.

import { timingSafeEqual } from 'node:crypto'
import type { IncomingMessage, ServerResponse } from 'node:http'

export interface Gate {
  readonly token: string
  readonly port: number
  readonly host: string
  readonly origin: string
}

type Answer = (response: ServerResponse) => void

/** 'in', or how the one who asked is answered instead. */
export function admit(request: IncomingMessage, gate: Gate): 'in' | Answer {
  if (request.headers.host !== gate.host) return refuse(`This is ${gate.host}, and nothing else.`)
  const origin = request.headers.origin
  if (origin !== undefined && origin !== gate.origin) return refuse('Another site may not talk to Takeloft.')
  // Whatever changes something has to say where it comes from; browsers always do.
  if (request.method !== 'GET' && origin === undefined)
    return refuse('This request does not say where it comes from.')

  const url = URL.parse(request.url ?? '/', gate.origin)
  if (url === null) return refuse('That is no address.')
  const offered = url.searchParams.get('token')
  if (offered !== null && url.pathname === '/') {
    return isToken(offered, gate)
      ? letIn(url, gate)
      : refuse('The token in the address is not the one that Takeloft printed.')
  }
  if (isToken(cookieOf(request, cookieName(gate)) ?? '', gate)) return 'in'
  return refuse('Open the address that Takeloft printed; it holds the token.')
}

/** A WebSocket has to name the origin as well. */
export const isSameOrigin = (request: IncomingMessage, gate: Gate): boolean =>
  request.headers.origin === gate.origin

// Cookies are shared between the ports of a host, so the name carries the port.
const cookieName = (gate: Gate): string => `takeloft-${gate.port}`

function letIn(url: URL, gate: Gate): Answer {
  url.searchParams.delete('token')
  return (response) => {
    response.writeHead(303, {
      'set-cookie': `${cookieName(gate)}=${gate.token}; HttpOnly; SameSite=Strict; Path=/`,
      // The token leaves the address bar, and so the history.
      location: `${url.pathname}${url.search}`,
      'cache-control': 'no-store',
    })
    response.end()
  }
}

function refuse(why: string): Answer {
  return (response) => {
    response.writeHead(403, { 'content-type': 'text/plain; charset=utf-8', 'cache-control': 'no-store' })
    response.end(`${why}\n`)
  }
}

function isToken(offered: string, gate: Gate): boolean {
  const a = Buffer.from(offered)
  const b = Buffer.from(gate.token)
  return a.length === b.length && timingSafeEqual(a, b)
}

function cookieOf(request: IncomingMessage, name: string): string | undefined {
  for (const pair of (request.headers.cookie ?? '').split(';')) {
    const [key, value] = pair.trim().split('=')
    if (key === name) return value
  }
  return undefined
}
