// Finds the frequency and level columns of a curve's text from the line that names the columns.

import { fieldsOf, SEPARATORS, type Separator } from './curve-fields.ts'

export interface NamedColumns {
  readonly names: readonly string[]
  readonly frequency: number
  /** Every column that may be the level, in order; the first is read. Empty if no name fits. */
  readonly levels: readonly number[]
}

const FREQUENCY = new Set(
  'frequency frequencies freq f hz khz frequenz fréquence frequence frecuencia frequenza'.split(' '),
)
const LEVEL = new Set(
  'level levels magnitude mag spl gain response amplitude ampl amp sensitivity pegel betrag niveau nivel'.split(
    ' ',
  ),
)
/** Never the level, even in dB. */
const OTHER_IN_DB = new Set('phase thd distortion noise coherence delay impedance'.split(' '))
const OTHER = new Set(
  'index idx nr no number point points bin deg degree degrees grad rad time ms ohm ohms'.split(' '),
)
const INDEX = new Set(['index', 'idx', 'nr', 'no', 'number', 'point', '#'])

type Kind = 'frequency' | 'level' | 'other' | 'unknown'

function kindOf(name: string): Kind {
  // "Level at 1 kHz" does not name a frequency column.
  const words =
    name
      .toLowerCase()
      .replaceAll(/\d\s*k?hz\b/g, ' ')
      .match(/\p{L}+|[°#]/gu) ?? []
  if (words.some((word) => OTHER_IN_DB.has(word))) return 'other'
  // Checked before the frequency, because "Frequency response (dB)" is a level.
  if (words.some((word) => word.startsWith('db') || LEVEL.has(word))) return 'level'
  if (words.some((word) => FREQUENCY.has(word))) return 'frequency'
  return words.some((word) => OTHER.has(word) || word === '°' || word === '#') ? 'other' : 'unknown'
}

/** The line that names the columns of a curve. */
export interface CurveHeader {
  /** Whether it may be a sentence about the frequency: only spaces separate words, and none names a level. */
  readonly mayBeProse: boolean
  /** Columns for lines with this separator and number of fields; null if the names do not fit such lines. */
  columnsFor(separator: Separator, fields: number): NamedColumns | null
}

/** Longer lines are prose or not text at all. */
const MAX_HEADER_LINE = 2000

/**
 * null for a line that names no columns. It has to name a frequency and another column; if its first name is
 * that of an index, the frequency may be missing.
 */
export function readCurveHeader(line: string): CurveHeader | null {
  if (line.length > MAX_HEADER_LINE) return null
  // Some programs write the names as a comment.
  const text = line.replace(/^(#|\/\/|[*%!])\s*/, '')
  const found = new Map<Separator, NamedColumns>()
  for (const separator of SEPARATORS) {
    const columns = namedIn(
      fieldsOf(separator === ' ' ? text.replaceAll(/\s+(?=[([])/g, '') : text, separator),
    )
    if (columns !== null) found.set(separator, columns)
  }
  if (found.size === 0) return null
  const [{ names, levels }] = found.values()
  return {
    mayBeProse: found.has(' ') && found.size === 1 && !levels.some((i) => kindOf(names[i]) === 'level'),
    columnsFor(separator, fields) {
      const same = found.get(separator)
      // A sentence contains spaces as well, so with spaces there must be as many names as columns.
      if (same !== undefined && (separator !== ' ' || same.names.length === fields)) return same
      return [...found.values()].find(({ names }) => names.length === fields) ?? null
    },
  }
}

function namedIn(names: readonly string[]): NamedColumns | null {
  if (names.length < 2) return null
  const kinds = names.map(kindOf)
  const frequency = kinds.indexOf('frequency')
  if (frequency < 0) {
    return INDEX.has(names[0].toLowerCase()) ? { names, frequency, levels: [] } : null
  }
  const indexesOf = (kind: Kind): number[] => kinds.flatMap((one, i) => (one === kind ? [i] : []))
  const levels = indexesOf('level')
  // Names such as "Left" or "On axis" are levels only if they follow the frequency, the usual order.
  const unnamed = indexesOf('unknown').filter((i) => i > frequency && names[i] !== '')
  if (levels.length === 0 && unnamed.length === 0 && !kinds.includes('other')) return null
  return { names, frequency, levels: levels.length > 0 ? levels : unnamed }
}
