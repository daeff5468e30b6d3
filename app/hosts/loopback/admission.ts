// Decides which requests are admitted. A browser that opens one of our addresses gets a cookie that scripts
// cannot read. Its later requests need that cookie, and must name this host, come from our own page and
// belong to the user who runs the host. The cookie alone gives access to the window's files; everything else
// also needs the page key.

import type { IncomingMessage } from 'node:http'
import { PAGE_KEY_HEADER, PORT_PROTOCOL, WITHOUT_KEY_PAGE } from '../../contract/wire/page-key.ts'
import type { Connections } from './connections.ts'
import type { Keys, Session } from './keys.ts'
import { isOwnUser } from './peer-user.ts'
import type { Refusal } from './refusal.ts'

/** Where the host listens, in the form that browsers send. */
export interface Gate {
  readonly port: number
  readonly host: string
  readonly origin: string
}

/** What admission depends on. */
export interface Door {
  readonly gate: Gate
  readonly keys: Keys
  readonly connections: Connections
}

/** Whether a request is admitted, and how to answer it. */
export type Admission =
  /** Without the page key, the request may read the window's files and nothing else. */
  | { readonly kind: 'in'; readonly hasPageKey: boolean }
  /** A browser sent the token: it gets a session and is forwarded to the page. */
  | { readonly kind: 'welcome'; readonly session: Session; readonly page: string }
  /** A browser that has a session opened an address again. */
  | { readonly kind: 'known'; readonly page: string }
  /** `wantsAddress`: the caller wants the page and can be offered a fresh address. */
  | { readonly kind: 'refused'; readonly refusal: Refusal; readonly wantsAddress: boolean }

/** Judges a request by Host, Origin, fetch metadata (Sec-Fetch-*), token, cookie and the peer's user. */
export function admit(request: IncomingMessage, gate: Gate, keys: Keys): Admission {
  // Against DNS rebinding: no other site can point its own host name at this machine.
  if (request.headers.host !== gate.host) return refused(`This is ${gate.host}, and nothing else.`)
  const url = URL.parse(`${gate.origin}${request.url}`)
  if (url === null) return refused('That is no address.')
  const isPage = url.pathname === '/'

  const arrival = arrivalOf(request, gate, isPage)
  if (arrival === 'foreign') return refused('Another site may not talk to Takeloft.')
  if (arrival === 'silent') return refused('This request does not say where it comes from.')

  const token = isPage ? url.searchParams.get('token') : null
  const page = pageWithoutToken(url)
  const hasToken = token !== null && request.method === 'GET' && keys.isToken(token)
  const hasSession = cookiesOf(request, cookieName(gate)).some((value) => keys.isCookie(value))
  // Checked before the token is used up or anything is disclosed.
  if ((hasToken || hasSession) && !isOwnUser(request.socket)) {
    return refused('This Takeloft was started by another user of this machine.')
  }
  // A request with the token may come from anywhere, for example from the file that opens the browser.
  if (hasToken) return { kind: 'welcome', session: keys.openSession(), page }
  if (arrival === 'link') {
    return refused(token === null ? 'Another site may not open Takeloft.' : usedUp(gate))
  }
  if (!hasSession) return refused(token === null ? WAY_IN : usedUp(gate), isPage)
  if (token !== null) return { kind: 'known', page }
  if (request.url === WITHOUT_KEY_PAGE) return refused(WAY_IN, true)
  return { kind: 'in', hasPageKey: pageKeysOf(request).some((key) => keys.isPageKey(key)) }
}

/**
 * For a request with the cookie but without the page key: it comes from a page of another server on this
 * machine, or from a browser whose storage was cleared.
 */
export const KEYLESS: Refusal = {
  status: 403,
  sentence: 'Only a page of the window itself may ask for this; open the window again.',
}

/** A WebSocket request must have the Origin header; not every browser sends fetch metadata with it. */
export const isSameOrigin = (request: IncomingMessage, gate: Gate): boolean =>
  request.headers.origin === gate.origin

/** Cookies are shared between the ports of a host, so the name contains the port. */
export const sessionCookie = ({ cookie }: Session, gate: Gate): string =>
  `${cookieName(gate)}=${cookie}; HttpOnly; SameSite=Strict; Path=/`

const cookieName = (gate: Gate): string => `takeloft-${gate.port}`

const WAY_IN =
  'Open the last address that Takeloft printed where it was started; it lets one browser in, once.'

const usedUp = ({ origin }: Gate): string =>
  'This address has been used, or is none of Takeloft’s. Open the last one that Takeloft printed where it was ' +
  `started, or start Takeloft again. The browser that used this one finds the window at ${origin}/ instead.`

/**
 * Where a request comes from. `ours`: our own page. `visit`: a person or a program, not a site, opens the
 * page. `link`: another site or a file opens the page. `foreign`: any other request from another site.
 * `silent`: the headers do not say.
 */
type Arrival = 'ours' | 'visit' | 'link' | 'foreign' | 'silent'

function arrivalOf({ method, headers }: IncomingMessage, gate: Gate, isPage: boolean): Arrival {
  if (headers.origin !== undefined && headers.origin !== gate.origin) return 'foreign'
  const isReading = method === 'GET' || method === 'HEAD'
  // A request that changes something must have the Origin header; browsers always send it.
  if (!isReading && headers.origin === undefined) return 'silent'
  const site = headers['sec-fetch-site']
  if (site === 'same-origin') return 'ours'
  if (site === undefined) return headers.origin !== undefined ? 'ours' : isPage ? 'visit' : 'silent'
  const isInOwnTab = headers['sec-fetch-mode'] === 'navigate' && headers['sec-fetch-dest'] === 'document'
  if (!isPage || !isReading || !isInOwnTab) return 'foreign'
  return site === 'none' ? 'visit' : 'link'
}

/** Removes the token from the address bar, and so from the history. */
function pageWithoutToken(url: URL): string {
  const page = new URL(url)
  page.searchParams.delete('token')
  return `/${page.search}`
}

const refused = (sentence: string, wantsAddress = false): Admission => ({
  kind: 'refused',
  refusal: { status: 403, sentence },
  wantsAddress,
})

/** Keys in the header, or among the subprotocols of a WebSocket. */
function pageKeysOf({ headers }: IncomingMessage): string[] {
  const key = headers[PAGE_KEY_HEADER]
  if (typeof key === 'string') return [key]
  const [protocol, ...keys] = (headers['sec-websocket-protocol'] ?? '').split(',').map((one) => one.trim())
  return protocol === PORT_PROTOCOL ? keys.slice(0, 1) : []
}

/** All cookies of that name, as one added by another server on this machine must not hide the valid one. */
function cookiesOf({ headers }: IncomingMessage, name: string): string[] {
  const pairs = (headers.cookie ?? '').split(';').map((pair) => pair.trim())
  return pairs.filter((pair) => pair.startsWith(`${name}=`)).map((pair) => pair.slice(name.length + 1))
}
