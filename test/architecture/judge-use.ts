// Files that nothing of the program reaches, and exports that no other file of the program uses. A part
// that its own file uses may be exported for a test of its own; anything else that only tests use is
// refused. knip does the work; test/architecture/knip.json lists where the program begins.

import { spawnSync } from 'node:child_process'
import { globSync, readFileSync } from 'node:fs'
import { join, posix } from 'node:path'
import { fileURLToPath } from 'node:url'
import { parseSync, Visitor } from 'vite'
import type { Refusal } from './judge-imports.ts'

const CONFIGURATION = fileURLToPath(new URL('knip.json', import.meta.url))
const KNIP = fileURLToPath(new URL('../../node_modules/knip/bin/knip.js', import.meta.url))

const WHY_EXPORT = 'no other file of the program uses this export; take the word "export" or the code away'
const WHY = {
  files: 'nothing of the program imports this file; remove it, move it to test/, or list it in knip.json',
  exports: WHY_EXPORT,
  types: WHY_EXPORT,
  duplicates: 'this is exported twice; keep one name',
} as const
type IssueKind = keyof typeof WHY

type Issues = { readonly file: string } & {
  readonly [K in IssueKind]?: readonly ({ name: string; line?: number } | readonly { name: string }[])[]
}

/**
 * @param root folder with a package.json and the program
 * @throws Error where knip does not answer
 */
export function judgeUse(root: string): Refusal[] {
  const options = ['--production', '--config', CONFIGURATION, '--directory', root]
  const { stdout, stderr } = spawnSync(
    process.execPath,
    [KNIP, ...options, '--reporter', 'json', '--no-exit-code', '--no-config-hints'],
    { cwd: root, encoding: 'utf8', maxBuffer: 2 ** 26 },
  )
  if (!stdout.startsWith('{')) throw new Error(`knip gave no answer: ${stderr || stdout}`)
  const { issues } = JSON.parse(stdout) as { issues: Issues[] }
  const tested = namesInTests(root)
  return issues
    .flatMap((one) => (Object.keys(WHY) as IssueKind[]).flatMap((kind) => refusalsOf(one, kind)))
    .filter(({ file, what }) => !(tested.has(`${file} ${what}`) && isUsedInside(join(root, file), what)))
    .sort((a, b) => (a.file < b.file ? -1 : a.file > b.file ? 1 : a.line - b.line))
}

const IMPORT = /\{([^{}]*)\}\s*(?:=\s*await import\(|from )'(\.[^']*\.tsx?)'/g

/** "path name" of everything that a test imports by name. */
function namesInTests(root: string): Set<string> {
  const found = new Set<string>()
  for (const test of globSync('test/**/*.{ts,tsx}', { cwd: root })) {
    const folder = posix.dirname(test.replaceAll('\\', '/'))
    for (const [, names, path] of readFileSync(join(root, test), 'utf8').matchAll(IMPORT)) {
      for (const name of names.match(/\w+/g) ?? []) found.add(`${posix.join(folder, path)} ${name}`)
    }
  }
  return found
}

/** Whether other code of the file than what declares the name itself speaks of it. */
function isUsedInside(path: string, name: string): boolean {
  const { program } = parseSync(path, readFileSync(path, 'utf8'))
  const elsewhere = program.body.filter((part) => {
    if (part.type !== 'ExportNamedDeclaration') return !isDeclaredBy(part, name)
    return part.declaration !== null && !isDeclaredBy(part.declaration, name)
  })
  let isUsed = false
  const see = (one: { readonly name: string }): void => {
    isUsed ||= one.name === name
  }
  new Visitor({ Identifier: see, JSXIdentifier: see }).visit({ ...program, body: elsewhere })
  return isUsed
}

function isDeclaredBy(part: object, name: string): boolean {
  if ('declarations' in part && Array.isArray(part.declarations))
    return part.declarations.some((one: object) => isDeclaredBy(one, name))
  const id = 'id' in part ? part.id : null
  return typeof id === 'object' && id !== null && 'name' in id && id.name === name
}

const refusalsOf = (issues: Issues, kind: IssueKind): Refusal[] =>
  (issues[kind] ?? []).flat().map((one) => ({
    file: issues.file,
    line: 'line' in one && typeof one.line === 'number' ? one.line : 1,
    what: one.name,
    why: WHY[kind],
  }))
