// The host's secrets: the token in an address, which admits one browser once, and the cookie and page key
// that the browser gets in exchange.

import { createHash, randomBytes, timingSafeEqual } from 'node:crypto'

/** Secrets of one browser's session. */
export interface Session {
  /** Gives access to the window's files, which contain nothing of the catalogue. */
  readonly cookie: string
  /** Together with the cookie, gives access to everything else. */
  readonly pageKey: string
}

/** One-time tokens in addresses, and the session secrets that they are exchanged for. */
export interface Keys {
  /** A token for an address; an earlier unused token becomes invalid. */
  makeToken(): string
  /** Whether an address was given out that no browser has used yet. */
  isWaiting(): boolean
  isToken(offered: string): boolean
  /** Uses up the token and returns the secrets of a new session. */
  openSession(): Session
  isCookie(offered: string): boolean
  isPageKey(offered: string): boolean
}

/** Starts without a token and without sessions. */
export function createKeys(): Keys {
  let token: Buffer | null = null
  const cookies: Buffer[] = []
  const pageKeys: Buffer[] = []
  return {
    makeToken() {
      const secret = randomSecret()
      token = digestOf(secret)
      return secret
    },
    isWaiting: () => token !== null,
    isToken: (offered) => token !== null && timingSafeEqual(token, digestOf(offered)),
    openSession() {
      token = null
      const session = { cookie: randomSecret(), pageKey: randomSecret() }
      cookies.push(digestOf(session.cookie))
      pageKeys.push(digestOf(session.pageKey))
      return session
    },
    isCookie: (offered) => isOneOf(cookies, offered),
    isPageKey: (offered) => isOneOf(pageKeys, offered),
  }
}

function isOneOf(secrets: readonly Buffer[], offered: string): boolean {
  const digest = digestOf(offered)
  // Compares with all of them every time, so that the timing reveals nothing.
  return secrets.reduce((isOne, secret) => timingSafeEqual(secret, digest) || isOne, false)
}

const randomSecret = (): string => randomBytes(24).toString('base64url')

/** Secrets are kept and compared as digests, which always have the same length. */
const digestOf = (secret: string): Buffer => createHash('sha256').update(secret).digest()
