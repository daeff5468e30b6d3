// The program's name and version, as written to files and responses.

import { readFileSync } from 'node:fs'

const packageFile = (): URL =>
  // Two folders up both from app/services and from out/main.
  new URL('../../package.json', import.meta.url)

/** Name and version, as manifests state them. */
export const PROGRAM = {
  name: 'Takeloft',
  version: (JSON.parse(readFileSync(packageFile(), 'utf8')) as { version: string }).version,
} as const
