// A folder of its own for each test, gone afterwards.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { onTestFinished } from 'vitest'

export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-db-'))
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }))
  return folder
}
