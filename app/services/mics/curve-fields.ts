// Splits one line of a curve's text into fields: separators, quotes, numbers.

export type Separator = ';' | '\t' | ' ' | ','

/** In the order tried: commas may belong to the numbers, so they separate only if nothing else does. */
export const SEPARATORS: readonly Separator[] = [';', '\t', ' ', ',']

/** With a decimal point or a decimal comma, without a thousands separator. */
const NUMBER = /^[-+]?(\d+([.,]\d+)?|[.,]\d+)(e[-+]?\d+)?$/i

/** null if the field is not a number; Infinity if the number is too large. */
export function numberOf(field: string | undefined): number | null {
  return field !== undefined && NUMBER.test(field) ? Number(field.replace(',', '.')) : null
}

/** The fields of a line, trimmed and without their quotes; empty ones are kept, except between spaces. */
export function fieldsOf(line: string, separator: Separator): string[] {
  const parts = line.includes('"') ? splitOutsideQuotes(line, separator) : line.split(separator)
  const fields = parts.map((part) => unquoted(part.trim()))
  return separator === ' ' ? fields.filter((field) => field !== '') : fields
}

/** RFC 4180: a separator inside quotes belongs to the field. With an unclosed quote, all are literal. */
function splitOutsideQuotes(line: string, separator: Separator): string[] {
  const parts: string[] = []
  let start = 0
  let isQuoted = false
  for (let i = 0; i < line.length; i++) {
    if (line[i] === '"') isQuoted = !isQuoted
    else if (line[i] === separator && !isQuoted) {
      parts.push(line.slice(start, i))
      start = i + 1
    }
  }
  return isQuoted ? line.split(separator) : [...parts, line.slice(start)]
}

const unquoted = (field: string): string =>
  field.length >= 2 && field.startsWith('"') && field.endsWith('"')
    ? field.slice(1, -1).replaceAll('""', '"').trim()
    : field
