// The host's secrets: the token of an address, which lets one browser in once, and what that browser gets
// for it: a cookie, and the key of its pages.

import { createHash, randomBytes, timingSafeEqual } from 'node:crypto'

/** Secrets of one browser's session. */
export interface Session {
  /** Shows the window's files, which hold nothing of the catalogue. */
  readonly cookie: string
  /** Opens everything else, together with the cookie. */
  readonly pageKey: string
}

/** One-time keys in addresses, and the session secrets they are exchanged for. */
export interface Keys {
  /** A token for an address; an earlier unused token becomes invalid. */
  makeToken(): string
  /** Whether an address that was given out still waits for its browser. */
  isWaiting(): boolean
  isToken(offered: string): boolean
  /** Uses the token up; gives the secrets of a new session. */
  openSession(): Session
  isCookie(offered: string): boolean
  isPageKey(offered: string): boolean
}

/** With fresh random keys. */
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
  // All of them every time, so that the time it takes tells nothing.
  return secrets.reduce((isOne, secret) => timingSafeEqual(secret, digest) || isOne, false)
}

const randomSecret = (): string => randomBytes(24).toString('base64url')

/** Secrets are kept and compared as digests, which always have the same length. */
const digestOf = (secret: string): Buffer => createHash('sha256').update(secret).digest()
