// SQL and calls of the database library that write a file by themselves. In db/ they are handed to a
// function of app/files/, which gives them a fresh path and puts the result in place.

import { parseSync, Visitor } from 'vite'
import type { Refusal } from './judge-imports.ts'

/** Functions of app/files/written-by-others.ts. */
const HANDED_TO = ['createFileBy', 'replaceFileBy']

const WRITING_SQL = /\b(vacuum\s+into|attach\s+(database\b|[?'$:]))/i

/** @param sources of all files, by path from the top of the tree, with forward slashes */
export const judgeWriting = (sources: ReadonlyMap<string, string>): Refusal[] =>
  [...sources]
    .filter(([file]) => file.startsWith('db/'))
    .flatMap(([file, source]) => refusalsIn(file, source))

function refusalsIn(file: string, source: string): Refusal[] {
  const refusals: Refusal[] = []
  const program = parseSync(file, source).program
  const handed = handedRanges(program)
  const refuse = (at: number, what: string): void => {
    if (handed.some(([start, end]) => start <= at && at < end)) return
    const why = `this writes a file; hand it to ${HANDED_TO.join(' or ')} of app/files`
    refusals.push({ file, line: source.slice(0, at).split('\n').length, what, why })
  }
  new Visitor({
    Literal({ start, value }) {
      const sql = typeof value === 'string' ? value.match(WRITING_SQL) : null
      if (sql !== null) refuse(start, sql[0])
    },
    TemplateElement({ start, value }) {
      const sql = value.raw.match(WRITING_SQL)
      if (sql !== null) refuse(start, sql[0])
    },
    MemberExpression({ start, property }) {
      if (property.type === 'Identifier' && property.name === 'backup') refuse(start, '.backup')
    },
  }).visit(program)
  return refusals
}

/** Where in the source functions stand that are handed over, be it by their name. */
function handedRanges(program: ReturnType<typeof parseSync>['program']): [number, number][] {
  const ranges: [number, number][] = []
  const names = new Set<string>()
  new Visitor({
    CallExpression({ callee, arguments: given }) {
      if (callee.type !== 'Identifier' || !HANDED_TO.includes(callee.name)) return
      for (const one of given) {
        if (one.type === 'Identifier') names.add(one.name)
        else ranges.push([one.start, one.end])
      }
    },
  }).visit(program)
  new Visitor({
    VariableDeclarator({ id, init }) {
      if (init && id.type === 'Identifier' && names.has(id.name)) ranges.push([init.start, init.end])
    },
    FunctionDeclaration({ id, start, end }) {
      if (id && names.has(id.name)) ranges.push([start, end])
    },
  }).visit(program)
  return ranges
}
