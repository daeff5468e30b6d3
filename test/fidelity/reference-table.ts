// Reads the tables of published values in reference/: a line with the source, a line with the
// column names and units, then the values.

import { readFileSync } from 'node:fs'

export interface ReferenceTable {
  /** The first line, without `# source:`. */
  readonly source: string
  readonly rows: readonly Readonly<Record<string, string>>[]
}

export function readReferenceTable(name: string): ReferenceTable {
  const text = readFileSync(new URL(`./reference/${name}`, import.meta.url), 'utf8')
  const [source, head, ...lines] = text.split(/\r?\n/).filter((line) => line !== '')
  const columns = fieldsOf(head)
  return {
    source: source.replace(/^#\s*source:\s*/, ''),
    rows: lines.map((line) => Object.fromEntries(fieldsOf(line).map((field, i) => [columns[i], field]))),
  }
}

/** Fields of one line; those in double quotes may contain commas. */
function fieldsOf(line: string): string[] {
  return [...line.matchAll(/(?:^|,)(?:"([^"]*)"|([^,]*))/g)].map(([, quoted, plain]) => quoted ?? plain)
}

/** The first number in a text; NaN where there is none. */
export const firstNumber = (text: string): number => Number(/[+-]?\d+(?:\.\d+)?/.exec(text)?.[0] ?? 'NaN')

/** Parses a tolerance such as `+0.2/-0.4`. */
export function toleranceOf(text: string): { readonly low: number; readonly high: number } {
  const [high, low] = text.split('/').map(Number)
  return { low, high }
}
