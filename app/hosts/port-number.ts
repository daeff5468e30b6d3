// Parses a typed port number.

import { Failure } from '../contract/failure.ts'

/** @throws Failure 'invalid-input' */
export function portNumberOf(text: string): number {
  const port = /^\d{1,5}$/.test(text) ? Number(text) : Number.NaN
  if (port <= 65_535) return port
  throw new Failure('invalid-input', `"${text}" is no port; give a whole number from 0 to 65535.`)
}
