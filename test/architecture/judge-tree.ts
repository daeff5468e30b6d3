// The whole tree against the table.

import { type Dirent, globSync, readFileSync } from 'node:fs'
import { join, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import { CHECKED_FILES, EXCEPTIONS, type Exception } from './import-table.ts'
import { judgeCircles } from './judge-circles.ts'
import { judgeFolders } from './judge-folders.ts'
import { judgeImports, type Refusal } from './judge-imports.ts'
import { judgeTags } from './judge-tags.ts'
import { judgeLinks, judgeStyles, judgeTargets } from './judge-targets.ts'
import { judgeUse } from './judge-use.ts'
import { judgeWriting } from './judge-writing.ts'

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
  const everything = globSync('{app,db,renderer}/**', { cwd: ROOT, withFileTypes: true })
  const there = everything.filter((one) => one.isFile()).map(pathOf)
  const judged = [...sources].map(([file, source]) => judgeImports(file, source))
  return {
    files: files.length,
    imports: judged.reduce((sum, { imports }) => sum + imports, 0),
    refusals: [
      ...judged.flatMap(({ refusals }) => refusals),
      ...judgeCircles(sources),
      ...judgeFolders(there),
      ...judgeLinks(everything.filter((one) => one.isSymbolicLink()).map(pathOf)),
      ...judgeTargets(sources, new Set([...files, ...there])),
      ...judgeStyles(sources),
      ...judgeTags(sources),
      ...judgeWriting(sources),
      ...judgeUse(ROOT),
    ],
    unused: EXCEPTIONS.filter((exception) => judged.every(({ used }) => !used.has(exception))),
  }
}

const pathOf = ({ parentPath, name }: Dirent): string =>
  relative(ROOT, join(parentPath, name)).replaceAll('\\', '/')
