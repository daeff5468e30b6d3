// The rows of the table of takes: what each shows and is sorted by, filtered and sorted.

import type { Layer, Mic, Role, Take, Voice } from '../../../app/contract/entities.ts'
import type { Finding } from '../../../app/contract/finding.ts'
import { matchesIn, searchWordsOf } from '../../../app/contract/text/search-words.ts'
import { findingName } from '../../../app/words/findings.ts'
import { guessRole } from '../../formats/role-guess.ts'
import type { TakeSort } from '../../state/take-desk.ts'

export interface TakeRow {
  readonly id: number
  /** Order of import, from 1. */
  readonly number: number
  readonly take: Take
  readonly placed: readonly Layer[]
  /** Role that its name tells. */
  readonly guess: Role | null
  readonly voiceName: string
  readonly micName: string
  /** Names of the findings, the most serious first. */
  readonly findings: string
  /** Whether one of them is about the sound itself, and no hint or remark. */
  readonly isSerious: boolean
  /** Whether its file is missing. */
  readonly isMissing: boolean
}

interface Known {
  readonly takes: readonly Take[]
  readonly layers: readonly Layer[]
  readonly voices: readonly Voice[]
  readonly mics: readonly Mic[]
  /** Ids of the takes whose files are missing. */
  readonly missing: { has(takeId: number): boolean }
}

/** What cannot be mended by a chain comes first; what is not listed here is a hint or a remark. */
const SERIOUS: readonly Finding['kind'][] = [
  'clipping',
  'silent',
  'opposite-channels',
  'hum',
  'over-full-scale',
  'clicks',
  'pops',
  'noise-floor',
  'dc-offset',
  'cut-short',
  'never-closed',
  'inverted-polarity',
]

function findingsOf({ facts }: Take): Pick<TakeRow, 'findings' | 'isSerious'> {
  const kinds = [...new Set(facts.findings.map(({ kind }) => kind))]
  const placeOf = (kind: Finding['kind']): number => SERIOUS.indexOf(kind) + 1 || SERIOUS.length + 1
  return {
    findings: kinds
      .toSorted((a, b) => placeOf(a) - placeOf(b))
      .map(findingName)
      .join(', '),
    isSerious: kinds.some((kind) => SERIOUS.includes(kind)),
  }
}

/** A row for each take, in the order of import. */
export function takeRows({ takes, layers, voices, mics, missing }: Known): TakeRow[] {
  const layersOf = Map.groupBy(layers, ({ takeId }) => takeId)
  const voiceNames = new Map(voices.map(({ id, name }) => [id, name]))
  const micNames = new Map(mics.map(({ id, name }) => [id, name]))
  return takes.map((take, index) => ({
    id: take.id,
    number: index + 1,
    take,
    placed: layersOf.get(take.id) ?? [],
    guess: guessRole(take.name),
    voiceName: take.voiceId === null ? '' : (voiceNames.get(take.voiceId) ?? 'another artist’s'),
    micName: take.micId === null ? '' : (micNames.get(take.micId) ?? ''),
    ...findingsOf(take),
    isMissing: missing.has(take.id),
  }))
}

const filteredTextOf = ({ take, placed, voiceName, micName, findings, isMissing }: TakeRow): string =>
  [
    take.name,
    placed.length === 0 ? 'not placed' : placed.map(({ role }) => role).join(' '),
    voiceName,
    micName,
    findings,
    isMissing ? 'file missing' : '',
  ].join(' · ')

/** The rows that have every word of the filter: in name, role, voice, mic or findings; or 'not placed', 'file missing'. */
export function filteredRows(rows: readonly TakeRow[], filter: string): readonly TakeRow[] {
  const words = searchWordsOf(filter)
  if (words.length === 0) return rows
  return rows.filter((row) => {
    const text = filteredTextOf(row)
    return words.every((word) => matchesIn(text, [word]).length > 0)
  })
}

const collator = new Intl.Collator('en', { numeric: true })

/** Sorted by a column's values; rows without a value are last in both directions, equal ones as imported. */
export function sortedRows(
  rows: readonly TakeRow[],
  sort: TakeSort,
  valueIn: (row: TakeRow) => string | number | null,
): readonly TakeRow[] {
  if (sort === null) return rows
  const sign = sort.isDescending ? -1 : 1
  return rows.toSorted((a, b) => {
    const [left, right] = [valueIn(a), valueIn(b)]
    const isLeftMissing = left === null || left === ''
    const isRightMissing = right === null || right === ''
    if (isLeftMissing || isRightMissing) return Number(isLeftMissing) - Number(isRightMissing)
    const order =
      typeof left === 'number' && typeof right === 'number'
        ? left - right
        : collator.compare(String(left), String(right))
    return order * sign || a.number - b.number
  })
}
