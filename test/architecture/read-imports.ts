// Every import that a source makes, whatever its form, read by the parser that builds the
// program, so that a comment or a string is never taken for one.

import { parseSync, Visitor } from 'vite'

export interface Import {
  /** As written; null where it is not a plain string, so that nobody can say what it leads to. */
  readonly what: string | null
  readonly line: number
  /** Only types: gone when the program runs. */
  readonly isType: boolean
  /** The names that are imported; null where all of the module can be reached. */
  readonly names: readonly string[] | null
}

/**
 * The imports of one source in order of their lines: `import`, `export … from`, `import()`,
 * types by `import('…')`, `import = require()`, `require()`, `createRequire(…)()` and `import.meta.resolve()`.
 * @throws Error where the source cannot be parsed
 */
export function readImports(fileName: string, source: string): Import[] {
  const parsed = parseSync(fileName, source)
  if (parsed.errors.length > 0) throw new Error(`${fileName}: ${parsed.errors[0].message}`)
  const found: Import[] = []
  const add = (at: number, what: unknown, isType: boolean, names: readonly string[] | null = null): void => {
    const line = source.slice(0, at).split('\n').length
    found.push({ what: typeof what === 'string' ? what : null, line, isType, names })
  }

  new Visitor({
    ImportDeclaration({ start, source: from, importKind, specifiers }) {
      const isType =
        importKind === 'type' ||
        (specifiers.length > 0 &&
          specifiers.every((one) => one.type === 'ImportSpecifier' && one.importKind === 'type'))
      const names = specifiers.flatMap((one) => {
        if (one.type !== 'ImportSpecifier') return ['*']
        if (one.importKind === 'type') return []
        return [one.imported.type === 'Literal' ? String(one.imported.value) : one.imported.name]
      })
      add(start, from.value, isType, names.includes('*') ? null : names)
    },
    ExportNamedDeclaration({ start, source: from, exportKind, specifiers }) {
      if (from === null) return
      const isType =
        exportKind === 'type' ||
        (specifiers.length > 0 && specifiers.every((one) => one.exportKind === 'type'))
      add(start, from.value, isType)
    },
    ExportAllDeclaration({ start, source: from, exportKind }) {
      add(start, from.value, exportKind === 'type')
    },
    ImportExpression({ start, source: from }) {
      add(start, literalOf(from), false)
    },
    TSImportType({ start, source: from }) {
      add(start, from.value, true)
    },
    TSExternalModuleReference({ start, expression }) {
      add(start, expression.value, false)
    },
    CallExpression({ start, callee, arguments: [what] }) {
      const isRequire =
        (callee.type === 'Identifier' && callee.name === 'require') ||
        (callee.type === 'CallExpression' &&
          callee.callee.type === 'Identifier' &&
          callee.callee.name === 'createRequire')
      const isResolve =
        callee.type === 'MemberExpression' &&
        callee.object.type === 'MetaProperty' &&
        callee.property.type === 'Identifier' &&
        callee.property.name === 'resolve'
      if (isRequire || isResolve) add(start, literalOf(what), false)
    },
  }).visit(parsed.program)
  return found.sort((a, b) => a.line - b.line)
}

const literalOf = (node: object | undefined): unknown =>
  node !== undefined && 'type' in node && node.type === 'Literal' && 'value' in node ? node.value : null
