// Reads the lines of a curve's text: finds the points, and what the lines before them say about the columns.

import { Failure } from '../../contract/failure.ts'
import { MAX_CURVE_LINES } from '../../contract/text/limits.ts'
import { CommaColumns } from './comma-columns.ts'
import { type CurveHeader, type NamedColumns, readCurveHeader } from './curve-columns.ts'
import { fieldsOf, numberOf, SEPARATORS, type Separator } from './curve-fields.ts'

/** Most characters before the first point; measurement programs write at most a page. */
const MAX_HEADER = 20_000
/** If all frequencies are below this, they are read as kHz, unless the header says Hz. */
const HIGHEST_KHZ = 100
const MAX_QUOTED = 60

export interface CurveRow {
  /** As written: in Hz or in kHz. */
  readonly frequency: number
  readonly levelDb: number
  /** Counted from 1. */
  readonly line: number
  readonly text: string
}

interface ReadRow extends CurveRow {
  readonly separator: Separator
  readonly fields: readonly string[]
  readonly frequencyField: string
  /** Number of empty fields before the first one that was used. */
  readonly skipped: number
  readonly columns: NamedColumns | null
}

/**
 * The points in the order of the text, before they are sorted or checked.
 * @param where name of the text in failures
 * @throws Failure `invalid-input` with the line that cannot be read, or that can be read in two ways
 */
export function readCurveRows(
  text: string,
  where: string,
): { rows: readonly CurveRow[]; remarks: string[]; isInKilohertz: boolean } {
  const refuse = (line: number, content: string, what: string): never => {
    throw new Failure('invalid-input', `${where}, line ${line}: "${content.slice(0, MAX_QUOTED)}" ${what}`, {
      where,
      line,
    })
  }
  if (text.includes('\0')) {
    throw new Failure(
      'invalid-input',
      `${where} is not text, so no curve can be read from it; export it as CSV or text.`,
      {
        where,
      },
    )
  }
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\r|\n/)
  if (lines.length > MAX_CURVE_LINES) {
    throw new Failure(
      'invalid-input',
      `${where} has ${lines.length} lines, and a curve has at most ${MAX_CURVE_LINES}; export fewer points, 96 to the octave are plenty.`,
      { where },
    )
  }
  const rows: ReadRow[] = []
  const commas = new CommaColumns()
  const headings: { line: number; content: string }[] = []
  let before = ''
  let header: CurveHeader | null = null
  for (const [index, whole] of lines.entries()) {
    const content = whole.trim()
    const line = index + 1
    if (content === '') continue
    if (content.startsWith('#')) {
      if (rows.length === 0) header = latestOf(header, content)
      continue
    }
    const row = rowOf(content, line, header)
    if (row !== null) {
      if (row.columns !== null && row.columns.frequency < 0) throw noColumn(where, 'frequency', row.columns)
      if (row.columns !== null && row.columns.levels.length === 0) throw noColumn(where, 'level', row.columns)
      if (rows.length > 0 && (row.columns !== rows[0].columns || row.skipped !== rows[0].skipped)) {
        refuse(line, content, 'has other columns than the first point; give every line the same columns.')
      }
      if (row.separator === ',') commas.add(row.fields)
      rows.push(row)
      continue
    }
    const isBeforePoints = rows.length === 0 && before.length < MAX_HEADER
    const looks = looksLikePoint(content)
    if (!isBeforePoints || looks === 'yes' || (looks === 'perhaps' && header !== null)) {
      refuse(line, content, 'is not a frequency and a level; every line needs two numbers.')
    }
    if (looks === 'perhaps') headings.push({ line, content })
    header = latestOf(header, content)
    before += ` ${content}`
  }
  const remarks: string[] = []
  if (rows.length === 0) return { rows, remarks, isInKilohertz: false }
  if (headings.length > 0) remarks.push(headingRemark(headings))
  const [first] = rows
  const named = first.columns
  const reading = commas.reading(named?.names.length ?? 0)
  if (reading === 'unclear') {
    const { line, text: content } = rows.find(({ fields }) => fields.length > 2) ?? first
    refuse(
      line,
      content,
      'can be read in two ways, because its commas may stand between columns or inside numbers; put semicolons or tabs between the columns, or write the numbers with points.',
    )
  }
  if (reading === 'perhaps-decimals') {
    remarks.push(
      'Only the first two columns were used; if the numbers have decimal commas, put semicolons or tabs between the columns and read the curve again.',
    )
  }
  if (named !== null && named.levels.length > 1) {
    const [level] = named.levels
    remarks.push(
      `${named.levels.length} columns may be the level; column ${level + 1} ("${named.names[level].slice(0, MAX_QUOTED)}") was read.`,
    )
  }
  if (named === null && header !== null && !header.mayBeProse) {
    remarks.push(
      'The names in the header do not fit the columns, so the first column was read as the frequency and the second as the level.',
    )
  }
  const thousands = rows.find(({ frequencyField }) => WITH_THREE_DECIMALS.test(frequencyField))
  if (thousands !== undefined && hasThousands(rows)) {
    refuse(
      thousands.line,
      thousands.text,
      'seems to have a separator of thousands in its frequency; write the frequencies without one.',
    )
  }
  const unitText = named === null ? before : named.names[named.frequency]
  return { rows, remarks, isInKilohertz: isInKilohertz(rows, unitText) }
}

function latestOf(header: CurveHeader | null, line: string): CurveHeader | null {
  const next = readCurveHeader(line)
  return next === null || (next.mayBeProse && header !== null) ? header : next
}

function noColumn(where: string, what: 'frequency' | 'level', { names }: NamedColumns): Failure {
  const given = names
    .filter((name) => name !== '')
    .join(', ')
    .slice(0, 120)
  const example = what === 'level' ? 'Level (dB)' : 'Frequency (Hz)'
  return new Failure(
    'invalid-input',
    `${where} has no column for the ${what}: its header names ${given}; name that column "${example}".`,
    { where },
  )
}

function headingRemark([first, ...more]: readonly { line: number; content: string }[]): string {
  const others = more.length === 0 ? '' : ` and ${more.length} more before the points`
  const verb = more.length === 0 ? 'was' : 'were'
  return `Line ${first.line} ("${first.content.slice(0, MAX_QUOTED)}")${others} ${verb} taken as text, not as a point.`
}

/** The point on a line; null if its columns do not contain two numbers. */
function rowOf(text: string, line: number, header: CurveHeader | null): ReadRow | null {
  for (const separator of SEPARATORS) {
    if (!text.includes(separator)) continue
    const all = fieldsOf(text, separator)
    const columnsOfAll = header?.columnsFor(separator, all.length) ?? null
    // A header without a frequency or level is refused at the first line that it would be used for.
    const row = pointOf(all, columnsOfAll)
    if (row !== null) return { ...row, line, text, separator, skipped: 0 }
    if (!all.includes('')) continue
    // Several tabs may align the columns, and there may be empty columns before the table.
    const fields = separator === '\t' ? all.filter((field) => field !== '') : all.slice(firstUsed(all))
    const columns = header?.columnsFor(separator, fields.length) ?? null
    if (columns !== null && columns.names.length !== fields.length) continue
    const other = pointOf(fields, columns)
    const skipped = separator === '\t' ? 0 : all.length - fields.length
    if (other !== null) return { ...other, line, text, separator, skipped }
  }
  return null
}

const firstUsed = (fields: readonly string[]): number => fields.findIndex((field) => field !== '')

function pointOf(fields: readonly string[], columns: NamedColumns | null) {
  const frequencyField = fields[Math.max(0, columns?.frequency ?? 0)]
  const frequency = numberOf(frequencyField)
  const levelDb = numberOf(fields[columns?.levels[0] ?? 1])
  return frequency === null || levelDb === null
    ? null
    : { frequency, levelDb, fields, frequencyField, columns }
}

const STARTS_WITH_DIGIT = /^"?[-+.,\s]*\p{Nd}/u
const COMMENT = /^(\/\/|[*%!])/

/** Whether an unreadable line was meant as a point: 'perhaps' for a word and a number ("Smoothing,0"). */
function looksLikePoint(text: string): 'yes' | 'perhaps' | 'no' {
  if (STARTS_WITH_DIGIT.test(text)) return 'yes'
  if (COMMENT.test(text)) return 'no'
  for (const separator of SEPARATORS) {
    if (!text.includes(separator)) continue
    const [frequency, level] = fieldsOf(text, separator)
    if (numberOf(level) !== null) return /\p{Nd}/u.test(frequency) ? 'yes' : 'perhaps'
  }
  return 'no'
}

const WITH_THREE_DECIMALS = /^[1-9]\d{0,2}[.,]\d{3}$/

/**
 * Whether "1.000" means a thousand: all frequencies have that form or are whole numbers of up to three
 * digits, and they are in order only when read as thousands.
 */
function hasThousands(rows: readonly ReadRow[]): boolean {
  const isEither = rows.every(
    ({ frequencyField }) => WITH_THREE_DECIMALS.test(frequencyField) || /^\d{1,3}$/.test(frequencyField),
  )
  if (!isEither) return false
  const isRising = (frequencies: readonly number[]): boolean =>
    frequencies.every((frequency, i) => i === 0 || frequency >= frequencies[i - 1])
  const asWritten = rows.map(({ frequency }) => frequency)
  const asThousands = rows.map(({ frequencyField }) => Number(frequencyField.replace(/[.,]/, '')))
  const isInOrder = (frequencies: readonly number[]): boolean =>
    isRising(frequencies) || isRising([...frequencies].reverse())
  return isInOrder(asThousands) && !isInOrder(asWritten)
}

function isInKilohertz(rows: readonly CurveRow[], unitText: string): boolean {
  // "Normalised at 1 kHz" says nothing about the column.
  const text = unitText.replaceAll(/\d\s*k?hz\b/gi, ' ')
  if (/khz/i.test(text)) return true
  if (/hz/i.test(text)) return false
  return rows.every(({ frequency }) => frequency < HIGHEST_KHZ)
}
