// The whole tree against the table.

import { globSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { CHECKED_FILES, EXCEPTIONS, type Exception } from './import-table.ts'
import { judgeImports, type Refusal } from './judge-imports.ts'

const ROOT = fileURLToPath(new URL('../..', import.meta.url))

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
  const judged = files.map((file) => judgeImports(file, readFileSync(join(ROOT, file), 'utf8')))
  return {
    files: files.length,
    imports: judged.reduce((sum, { imports }) => sum + imports, 0),
    refusals: judged.flatMap(({ refusals }) => refusals),
    unused: EXCEPTIONS.filter((exception) => judged.every(({ used }) => !used.has(exception))),
  }
}
