// Holds the imports of a source against the table and says what is wrong with each that it forbids.

import { isBuiltin } from 'node:module'
import { posix } from 'node:path'
import {
  DOORS,
  EXCEPTIONS,
  type Exception,
  NODE_DOORS,
  READING_ONLY,
  ROWS,
  type Row,
  WRITING_ROW,
} from './import-table.ts'
import { type Import, readImports } from './read-imports.ts'

export interface Refusal {
  readonly file: string
  readonly line: number
  readonly what: string
  readonly why: string
}

export interface Judgement {
  readonly imports: number
  readonly refusals: readonly Refusal[]
  /** The exceptions that were called upon. */
  readonly used: ReadonlySet<Exception>
}

/** @param file path from the top of the tree, with forward slashes */
export function judgeImports(file: string, source: string): Judgement {
  const refusals: Refusal[] = []
  const used = new Set<Exception>()
  const row = rowOf(file)
  if (row === undefined) {
    const why = 'belongs to no row of test/architecture/import-table.ts; say there who it may import'
    return { imports: 0, refusals: [{ file, line: 1, what: file, why }], used }
  }
  const imports = readImports(file, source)
  for (const one of imports) {
    const why = reasonAgainst(file, row, one, used)
    if (why !== null) refusals.push({ file, line: one.line, what: one.what ?? 'import', why })
  }
  return { imports: imports.length, refusals, used }
}

/** The row with the longest path that holds the file. */
function rowOf(file: string): Row | undefined {
  const holding = ROWS.filter(({ path }) => file === path || file.startsWith(`${path}/`))
  return holding.sort((a, b) => b.path.length - a.path.length)[0]
}

/** null: nothing speaks against it. */
function reasonAgainst(file: string, row: Row, one: Import, used: Set<Exception>): string | null {
  if (one.what === null) return 'what is imported is worked out while running, so nobody can check it'
  if (one.form === 'export all') return 'name what is passed on; what nobody uses of all of it is not found'
  if (one.what.startsWith('.')) {
    const target = posix.normalize(posix.join(posix.dirname(file), one.what.replace(/\?.*$/, '')))
    return againstFile(file, row, target, one.isType, used)
  }
  if (isBuiltin(one.what)) {
    return row.node ? againstNode(file, row, one, used) : `${row.path} runs where Node’s modules are not`
  }
  return againstLibrary(file, row, libraryOf(one.what), used)
}

function againstFile(
  file: string,
  row: Row,
  target: string,
  isType: boolean,
  used: Set<Exception>,
): string | null {
  const other = rowOf(target)
  if (other === undefined) return `${target} belongs to no row of the table, so nobody may import it`
  if (other === row || row.imports.includes(other.path)) return null
  if (row.importsTypesOf?.includes(other.path)) {
    return isType ? null : `${row.path} may import only types of ${other.path}`
  }
  if (isExcepted(file, row, other.path, used)) return null
  const outside = row.imports.filter((path) => !path.startsWith(`${row.path}/`))
  const allowed = outside.length === 0 ? 'nothing but itself' : `only ${outside.join(', ')}`
  return `${row.path} may import ${allowed}, not ${other.path}`
}

function againstLibrary(file: string, row: Row, library: string, used: Set<Exception>): string | null {
  const door = Object.hasOwn(DOORS, library) ? DOORS[library] : undefined
  if (door === undefined) return `${library} stands nowhere in the table; say there who may import it`
  if (door.includes(row.path) || isExcepted(file, row, library, used)) return null
  return door.length === 0
    ? `only tests import ${library}`
    : `only ${door.join(' and ')} may import ${library}`
}

function isExcepted(file: string, row: Row, to: string, used: Set<Exception>): boolean {
  const exception = EXCEPTIONS.find((one) => one.to === to && (one.from === file || one.from === row.path))
  if (exception !== undefined) used.add(exception)
  return exception !== undefined
}

function againstNode(file: string, row: Row, one: Import, used: Set<Exception>): string | null {
  const name = `${one.what}`.replace(/^node:/, '')
  const door = Object.hasOwn(NODE_DOORS, name) ? NODE_DOORS[name] : []
  if (door === null) return againstWriting(file, row, one, used)
  if (door.includes(row.path)) return null
  return door.length === 0
    ? `node:${name} stands nowhere in the table; say there who may import it`
    : `only ${door.join(' and ')} may import node:${name}`
}

/** Whatever is written goes through one room, which never replaces what exists. */
function againstWriting(
  file: string,
  row: Row,
  { what, names, isType, form }: Import,
  used: Set<Exception>,
): string | null {
  if (isType || !/^(node:)?fs(\/promises)?$/.test(what ?? '')) return null
  if (row.path === WRITING_ROW) return form === 'export' ? `${WRITING_ROW} passes ${what} on to nobody` : null
  if (names === null) return `only ${WRITING_ROW} may import all of ${what}; name what is needed for reading`
  const writing = names.filter((name) => !READING_ONLY.includes(name))
  return writing.length === 0 || isExcepted(file, row, `${what}`, used)
    ? null
    : `only ${WRITING_ROW} writes files, not ${row.path}: ${writing.join(', ')}`
}

/** `@scope/name/deep/path` → `@scope/name` */
const libraryOf = (what: string): string =>
  what
    .split('/')
    .slice(0, what.startsWith('@') ? 2 : 1)
    .join('/')
