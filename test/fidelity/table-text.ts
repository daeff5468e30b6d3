// The table of figures as text for a terminal.

import type { Figure, Limit, Row } from './rows.ts'

export function valueText(value: number, { digits, unit }: Limit): string {
  if (!Number.isFinite(value))
    return value === -Infinity ? `−∞ ${unit}` : value > 0 ? `∞ ${unit}` : 'no number'
  return `${numberText(value, digits)} ${unit}`
}

/** "none" for what is shown and not judged. */
export function limitText({ low, high, unit }: Limit): string {
  if (low === -Infinity && high === Infinity) return 'none'
  const range = () => {
    if (low === -Infinity) return `≤ ${signed(high)}`
    if (high === Infinity) return `≥ ${signed(low)}`
    return low === -high ? `±${high}` : `${signed(low)} to ${signed(high)}`
  }
  return `${range()} ${unit}`
}

export function marginText({ margin, limit }: Row): string {
  if (margin === null) return '–'
  return Number.isFinite(margin) ? numberText(margin, limit.digits) : margin > 0 ? '∞' : '−∞'
}

export function tableAsText(figures: readonly Figure[]): string {
  const cells = figures.flatMap(({ rows }) =>
    rows.map((row) => [
      row.verdict === 'kept' ? ' ' : row.verdict === 'falls short' ? '✗' : '?',
      row.id,
      row.what,
      row.worst === null ? '–' : valueText(row.worst.value, row.limit),
      limitText(row.limit),
      marginText(row),
      row.limit.source,
      row.worst === null ? (row.remark ?? '') : row.worst.where,
    ]),
  )
  const head = ['', 'id', 'what', 'measured', 'limit', 'margin', 'source', 'where']
  const table = [head, ...cells]
  const widths = head.map((_, c) => Math.max(...table.map((row) => [...row[c]].length)))
  const lines = table.map((row) =>
    row
      .map((cell, c) => padded(cell, widths[c], c >= 3 && c <= 5))
      .join('  ')
      .trimEnd(),
  )
  return [lines[0], '-'.repeat([...lines[0]].length), ...lines.slice(1)].join('\n')
}

function padded(cell: string, width: number, isNumber: boolean): string {
  const gap = ' '.repeat(Math.max(0, width - [...cell].length))
  return isNumber ? gap + cell : cell + gap
}

/** Enough digits to show anything at all, at least `digits`. */
function numberText(value: number, digits: number): string {
  const text =
    value !== 0 && Math.abs(value) < 0.5 * 10 ** -digits ? value.toExponential(1) : value.toFixed(digits)
  return text.replace('-', '−')
}

const signed = (value: number): string => String(value).replace('-', '−')
