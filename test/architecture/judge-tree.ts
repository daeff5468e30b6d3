// The whole tree against the table.

import { globSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { CHECKED_FILES, EXCEPTIONS, type Exception } from './import-table.ts'
import { judgeCircles } from './judge-circles.ts'
import { judgeFolders } from './judge-folders.ts'
import { judgeImports, type Refusal } from './judge-imports.ts'
import { judgeUse } from './judge-use.ts'

export const ROOT = fileURLToPath(new URL('../..', import.meta.url))

export interface TreeJudgement {
  readonly files: number
  readonly imports: number
  readonly refusals: readonly Refusal[]
  /** Exceptions that nothing needs any longer. */
  readonly unused: readonly Exception[]
}

export function judgeTree(): TreeJudgement {
  const files = globSync([...CHECKED_FILES], { cwd: ROOT })
    .map((file) => file.replaceAll('\\', '/'))
    .sort()
  const sources = new Map(files.map((file) => [file, readFileSync(join(ROOT, file), 'utf8')]))
  const judged = [...sources].map(([file, source]) => judgeImports(file, source))
  return {
    files: files.length,
    imports: judged.reduce((sum, { imports }) => sum + imports, 0),
    refusals: [
      ...judged.flatMap(({ refusals }) => refusals),
      ...judgeCircles(sources),
      ...judgeFolders(files),
      ...judgeUse(ROOT),
    ],
    unused: EXCEPTIONS.filter((exception) => judged.every(({ used }) => !used.has(exception))),
  }
}
