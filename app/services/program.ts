// The program's own name and version, as they stand in files and answers.

import { readFileSync } from 'node:fs'
import { z } from 'zod'

const packageFile = (): URL =>
  // Two folders up both from app/services and from out/main.
  new URL('../../package.json', import.meta.url)

export const PROGRAM = {
  name: 'Takeloft',
  version: z.object({ version: z.string() }).parse(JSON.parse(readFileSync(packageFile(), 'utf8'))).version,
} as const
