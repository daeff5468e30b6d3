// Canonical JSON (RFC 8785), so that equal values have equal hashes.

import { createHash } from 'node:crypto'
import canonicalize from 'canonicalize'

/** The canonical text. @throws Error for values without one: NaN, infinities, lone surrogates */
export function canonicalJson(value: unknown): string {
  const text = canonicalize(value)
  if (text === undefined) throw new TypeError(`A ${typeof value} has no JSON`)
  return text
}

/** SHA-256 of the canonical text, 64 hexadecimal digits. @throws as canonicalJson */
export function hashOfValue(value: unknown): string {
  return createHash('sha256').update(canonicalJson(value)).digest('hex')
}
