// What a section of the benchmark hands back, and how it reads as text.

export interface Column {
  readonly key: string
  readonly head: string
  /** Digits after the point, for columns of numbers. */
  readonly digits?: number
}

export type Cell = string | number | null

export interface Table {
  readonly title: string
  readonly columns: readonly Column[]
  readonly rows: readonly Readonly<Record<string, Cell>>[]
}

export interface Section {
  readonly id: string
  readonly title: string
  /** Command lines that were run, by contestant. */
  readonly commands: Readonly<Record<string, string>>
  readonly notes: readonly string[]
  readonly tables: readonly Table[]
}

export function sectionAsText({ id, title, commands, notes, tables }: Section): string {
  return [
    `\n${id}  ${title}`,
    ...Object.entries(commands).map(([name, command]) => `  ${name}:\n    ${command}`),
    ...tables.map(tableAsText),
    ...notes.map((note) => `  ${note}`),
  ].join('\n')
}

function tableAsText({ title, columns, rows }: Table): string {
  const cells = [
    columns.map(({ head }) => head),
    ...rows.map((row) => columns.map((column) => cellAsText(row[column.key], column))),
  ]
  const widths = columns.map((_, c) => Math.max(...cells.map((row) => row[c].length)))
  const lines = cells.map((row) =>
    row
      .map((cell, c) => (columns[c].digits === undefined ? cell.padEnd(widths[c]) : cell.padStart(widths[c])))
      .join('  '),
  )
  return [`\n  ${title}`, ...lines.map((line) => `    ${line.trimEnd()}`)].join('\n')
}

function cellAsText(cell: Cell | undefined, { digits }: Column): string {
  if (cell === null || cell === undefined) return '-'
  return typeof cell === 'number' ? cell.toFixed(digits ?? 0) : cell
}
