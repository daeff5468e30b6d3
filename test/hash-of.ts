// The SHA-256 of a file, by Node alone.

import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'

/** @returns 64 lower-case hexadecimal digits */
export const hashOf = (path: string): string => createHash('sha256').update(readFileSync(path)).digest('hex')
