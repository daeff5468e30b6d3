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
  /** `address`: a path to a file, which a build may have yet to make; `all`: `export *`. */
  readonly form?: 'address' | 'export' | 'export all'
}

const SOURCE_NAME = /\.([cm]?[jt]sx?|css)$/

/**
 * The imports of one source in order of their lines: `import`, `export … from`, `import()`,
 * types by `import('…')`, `import = require()`, `require()`, `createRequire(…)()`, `import.meta.resolve()`,
 * `import.meta.glob()`, `process.getBuiltinModule()`, `new URL(…, import.meta.url)` of a source and
 * `/// <reference>`. Of a style sheet `@import` and `url()`.
 * @throws Error where the source cannot be parsed
 */
export function readImports(fileName: string, source: string): Import[] {
  if (fileName.endsWith('.css')) return readStyleImports(source)
  const parsed = parseSync(fileName, source)
  if (parsed.errors.length > 0) throw new Error(`${fileName}: ${parsed.errors[0].message}`)
  const found: Import[] = []
  const add = (
    at: number,
    what: unknown,
    isType: boolean,
    names: readonly string[] | null = null,
    form?: Import['form'],
  ): void => {
    const said = typeof what === 'string' ? what : null
    found.push({ what: said, line: lineAt(source, at), isType, names, ...(form && { form }) })
  }
  for (const { type, start, value } of parsed.comments) {
    const [, kind, what] = (type === 'Line' && value.match(REFERENCE)) || []
    if (what !== undefined) add(start, kind === 'path' ? fromHere(what) : what, true)
  }
  // Calls of createRequire() whose result is used at once, so that what it loads can be read.
  const readable = new Set<unknown>()

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
      const isRenamed = specifiers.some(
        (one) =>
          one.type === 'ImportSpecifier' &&
          one.imported.type === 'Identifier' &&
          one.imported.name === 'createRequire' &&
          one.local.name !== 'createRequire',
      )
      if (isRenamed) add(start, null, false)
      add(start, from.value, isType, names.includes('*') ? null : names)
    },
    ExportNamedDeclaration({ start, source: from, exportKind, specifiers }) {
      if (from === null) return
      const isType =
        exportKind === 'type' ||
        (specifiers.length > 0 && specifiers.every((one) => one.exportKind === 'type'))
      add(start, from.value, isType, null, 'export')
    },
    ExportAllDeclaration({ start, source: from, exportKind }) {
      add(start, from.value, exportKind === 'type', null, 'export all')
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
      const name = nameOf(callee)
      const isMeta = callee.type === 'MemberExpression' && callee.object.type === 'MetaProperty'
      if (nameOf(callee) === 'createRequire') {
        if (!readable.has(start)) add(start, null, false)
      } else if (callee.type === 'CallExpression' && nameOf(callee.callee) === 'createRequire') {
        readable.add(callee.start)
        add(start, literalOf(what), false)
      } else if (isMeta && name === 'glob') {
        add(start, null, false)
      } else if (name === 'require' || name === 'getBuiltinModule' || (isMeta && name === 'resolve')) {
        add(start, literalOf(what), false)
      }
    },
    MemberExpression({ object, property }) {
      // Finds a file and loads nothing.
      if (property.type === 'Identifier' && property.name === 'resolve' && object.type === 'CallExpression')
        readable.add(object.start)
    },
    NewExpression({ start, callee, arguments: [what, base] }) {
      const path = literalOf(what)
      const isFromHere =
        nameOf(callee) === 'URL' &&
        base?.type === 'MemberExpression' &&
        base.object.type === 'MetaProperty' &&
        typeof path === 'string' &&
        SOURCE_NAME.test(path)
      if (isFromHere) add(start, fromHere(path), false, null, 'address')
    },
  }).visit(parsed.program)
  return found.sort((a, b) => a.line - b.line)
}

const REFERENCE = /^\/\s*<reference\s+(path|types|lib)\s*=\s*["']([^"']+)["']/

const STYLE_IMPORT = /@import\s+(?:url\(\s*)?["']?([^"'()\s;]+)|url\(\s*["']?([^"')]+)/g

/** A style sheet's imports; what `data:` holds and what `public/` serves is no file beside it. */
function readStyleImports(source: string): Import[] {
  const text = source.replace(/\/\*[\s\S]*?\*\//g, (comment) => comment.replace(/[^\n]/g, ' '))
  return [...text.matchAll(STYLE_IMPORT)]
    .map((match) => ({ what: match[1] ?? match[2], line: lineAt(text, match.index) }))
    .filter(({ what }) => !/^([a-z]+:|[/#])/.test(what))
    .map(({ what, line }) => ({ what: fromHere(what), line, isType: false, names: null }))
}

const lineAt = (source: string, at: number): number => source.slice(0, at).split('\n').length

const fromHere = (path: string): string => (path.startsWith('.') ? path : `./${path}`)

/** The last name of what is called: `b` of `b()` and of `a.b()`. */
function nameOf(node: object): string | null {
  if ('property' in node) return nameOf(node.property as object)
  return 'type' in node && node.type === 'Identifier' && 'name' in node ? String(node.name) : null
}

const literalOf = (node: object | undefined): unknown =>
  node !== undefined && 'type' in node && node.type === 'Literal' && 'value' in node ? node.value : null
