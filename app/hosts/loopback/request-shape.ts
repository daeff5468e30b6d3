// The form a request must have before its sender is checked.

import type { IncomingMessage } from 'node:http'
import { hasBody, type Refusal } from './refusal.ts'

const METHODS: readonly string[] = ['GET', 'HEAD', 'PUT']

/** 405 with the allowed methods. */
export const noSuchMethod = (allowed: readonly string[] = METHODS): Refusal => ({
  status: 405,
  sentence: `Only ${allowed.join(', ')} are known here.`,
  headers: { allow: allowed.join(', ') },
})

/** null for a well-formed request. */
export function shapeRefusal(request: IncomingMessage): Refusal | null {
  const { method = '', url = '', headers } = request
  if (!METHODS.includes(method)) return noSuchMethod()
  // Only requests to a proxy contain a whole address, and this is not a proxy.
  if (!url.startsWith('/')) return { status: 400, sentence: 'A request names a path, not a whole address.' }
  if (headers.host === undefined) return { status: 400, sentence: 'A request names its host.' }
  if (method !== 'PUT' && hasBody(request)) {
    return { status: 400, sentence: 'A request for something has no contents of its own.' }
  }
  return null
}
