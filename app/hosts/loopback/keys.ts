// The host's secrets: the token of an address, which lets one browser in once, and the sessions
// that came of it.

import { createHash, randomBytes, timingSafeEqual } from 'node:crypto'

/** One-time keys in addresses, and the cookies they are exchanged for. */
export interface Keys {
  /** A token for an address; an earlier unused token becomes invalid. */
  makeToken(): string
  /** Whether an address that was given out still waits for its browser. */
  isWaiting(): boolean
  isToken(offered: string): boolean
  /** Uses the token up; gives the secret of a new session. */
  openSession(): string
  isSession(offered: string): boolean
}

/** With fresh random keys. */
export function createKeys(): Keys {
  let token: Buffer | null = null
  const sessions: Buffer[] = []
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
      const secret = randomSecret()
      sessions.push(digestOf(secret))
      return secret
    },
    isSession(offered) {
      const digest = digestOf(offered)
      // All of them every time, so that the time it takes tells nothing.
      return sessions.reduce((isOne, session) => timingSafeEqual(session, digest) || isOne, false)
    },
  }
}

const randomSecret = (): string => randomBytes(24).toString('base64url')

/** Secrets are kept and compared as digests, which always have the same length. */
const digestOf = (secret: string): Buffer => createHash('sha256').update(secret).digest()
