// JSON with the keys of every object in order, so that equal values have equal text and equal hashes.

import { createHash } from 'node:crypto'

export function canonicalJson(value: unknown): string {
  return JSON.stringify(value, (_key, inner: unknown) =>
    inner !== null && typeof inner === 'object' && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : 1)))
      : inner,
  )
}

/** SHA-256 of the canonical text, 64 hexadecimal digits. */
export function hashOfValue(value: unknown): string {
  return createHash('sha256').update(canonicalJson(value)).digest('hex')
}
