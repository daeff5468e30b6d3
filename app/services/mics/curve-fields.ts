// One line of a curve's text as fields: separators, quotes, numbers.

export type Separator = ';' | '\t' | ' ' | ','

/** In the order tried: the comma may belong to the numbers, so it separates only where nothing else does. */
export const SEPARATORS: readonly Separator[] = [';', '\t', ' ', ',']

/** With a decimal point or a decimal comma, without a separator of thousands. */
const NUMBER = /^[-+]?(\d+([.,]\d+)?|[.,]\d+)(e[-+]?\d+)?$/i

/** null for what is no number. Infinity for one that is too large. */
export function numberOf(field: string | undefined): number | null {
  return field !== undefined && NUMBER.test(field) ? Number(field.replace(',', '.')) : null
}

/** The fields between separators, trimmed and without their quotes; empty ones are kept, except between spaces. */
export function fieldsOf(line: string, separator: Separator): string[] {
  const parts = line.includes('"') ? splitOutsideQuotes(line, separator) : line.split(separator)
  const fields = parts.map((part) => unquoted(part.trim()))
  return separator === ' ' ? fields.filter((field) => field !== '') : fields
}

/** RFC 4180: a separator inside quotes belongs to the field. A quote without its end is an ordinary character. */
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
