// The TypeScript interface of the compiled kernels, from the signatures and comments of their
// AssemblyScript sources, checked against what the module really exports.

import { readFileSync } from 'node:fs'
import { posix } from 'node:path'

/** AssemblyScript's types as JavaScript passes them. */
const TYPES: Readonly<Record<string, string>> = {
  usize: 'Row',
  i32: 'number',
  f64: 'number',
  bool: 'boolean',
  void: 'void',
}
/** WebAssembly returns a bool as a number. */
const RESULT_TYPES: Readonly<Record<string, string>> = { ...TYPES, bool: '0 | 1' }

interface Signature {
  readonly name: string
  readonly comment: string
  readonly parameters: readonly string[]
  readonly result: string
}

const HEAD = `// The kernels' functions, made of assembly/ by "npm run wasm". Not written by hand.

import type { Row } from './row.ts'

/** Lengths count doubles unless the name says otherwise. */
export interface Kernels {
`

/**
 * @param root folder of the project, with a trailing slash
 * @param entry the source that exports every kernel, relative to the root
 * @param bytes the compiled module
 * @returns the text of the source file
 * @throws Error for an unknown type, or when the functions of the module and of the sources differ
 */
export function kernelInterface(root: string, entry: string, bytes: Uint8Array): string {
  const index = readFileSync(root + entry, 'utf8')
  const files = [...index.matchAll(/from '(\.\/[\w-]+\.ts)'/g)].map(([, path]) =>
    posix.join(posix.dirname(entry), path),
  )
  const declared = [entry, ...files].flatMap((path) => signaturesOf(readFileSync(root + path, 'utf8')))
  const exported = exportsOf(bytes)
  const kernels = declared.filter(({ name }) => exported.has(name)).sort((a, b) => (a.name < b.name ? -1 : 1))
  for (const { name, parameters } of kernels) {
    if (exported.get(name) !== parameters.length) throw new Error(`${name} is compiled with other parameters`)
  }
  if (kernels.length !== exported.size)
    throw new Error('The module exports functions that no source declares')
  return `${HEAD}${kernels.map(memberOf).join('\n')}}\n`
}

/** Finds exported functions; expects the layout that the formatter gives them. */
function signaturesOf(source: string): Signature[] {
  const pattern = /(\/\*\*(?:(?!\*\/)[\s\S])*\*\/\n)?export function (\w+)\(([^)]*)\): (\w+) \{/g
  return [...source.matchAll(pattern)].map(([, comment = '', name, parameters, result]) => ({
    name,
    comment,
    parameters: parameters
      .split(',')
      .map((one) => one.trim())
      .filter((one) => one !== ''),
    result,
  }))
}

function memberOf({ name, comment, parameters, result }: Signature): string {
  const typed = parameters.map((one) => {
    const [parameter, type] = one.split(': ')
    return `${parameter}: ${typeOf(type, TYPES)}`
  })
  const lines = comment.trimEnd().split('\n')
  const head = comment === '' ? '' : `${lines.map((line) => `  ${line}`).join('\n')}\n`
  const end = `: ${typeOf(result, RESULT_TYPES)}`
  const line = `  ${name}(${typed.join(', ')})${end}`
  // Breaks lines where the formatter would.
  return line.length <= 110
    ? `${head}${line}\n`
    : `${head}  ${name}(\n${typed.map((one) => `    ${one},\n`).join('')}  )${end}\n`
}

function typeOf(type: string, types: Readonly<Record<string, string>>): string {
  if (!Object.hasOwn(types, type)) throw new Error(`A kernel has a parameter or result of type ${type}`)
  return types[type]
}

/** The part of WebAssembly that is used here; neither TypeScript's nor Node's types declare it. */
interface WebAssemblyHost {
  readonly WebAssembly: {
    readonly Module: new (bytes: Uint8Array) => object
    readonly Instance: new (module: object) => { readonly exports: object }
  }
}

/** Names of the exported functions, and how many parameters each has. */
function exportsOf(bytes: Uint8Array): Map<string, number> {
  const { WebAssembly } = globalThis as unknown as WebAssemblyHost
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(bytes))
  return new Map(
    Object.entries(exports).flatMap(([name, value]) =>
      typeof value === 'function' ? [[name, value.length] as const] : [],
    ),
  )
}
