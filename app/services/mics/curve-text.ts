// Reads a curve from text as people have it: CSV, semicolons, tabs or spaces, decimal commas,
// header lines, Hz or kHz, in any order; and back into CSV.

import { CurvePoints } from '../../contract/curve.ts'
import type { CurveRecord } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { MAX_CURVE_LINES, MAX_CURVE_POINTS } from '../../contract/text/limits.ts'

const THINNED_PER_OCTAVE = 96
/** Characters before the first point; measuring programs write a page at most. */
const MOST_HEADER = 20_000
/** Frequencies that all stay below this are taken for kHz, unless the header says Hz. */
const HIGHEST_KHZ = 100

/** A curve read from a text. */
export interface ReadCurve {
  readonly points: CurvePoints
  /** What was done to the text that the engineer should know. */
  readonly remarks: readonly string[]
}

/**
 * @param where what to call the text in a failure
 * @throws Failure `invalid-input` with the line that cannot be read
 */
export function readCurveText(text: string, where: string): ReadCurve {
  if (text.includes('\0')) {
    throw new Failure(
      'invalid-input',
      `${where} is not text, so no curve can be read from it; export it as CSV or text.`,
      {
        where,
      },
    )
  }
  const remarks: string[] = []
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\r|\n/)
  if (lines.length > MAX_CURVE_LINES) {
    throw new Failure(
      'invalid-input',
      `${where} has ${lines.length} lines, and a curve has at most ${MAX_CURVE_LINES}; export fewer points, 96 to the octave are plenty.`,
      { where },
    )
  }
  const pairs: [number, number][] = []
  let header = ''
  for (const [index, line] of lines.entries()) {
    const trimmed = line.trim()
    if (trimmed === '' || trimmed.startsWith('#')) continue
    const pair = pairOf(trimmed)
    if (pair !== null) pairs.push(pair)
    else if (pairs.length === 0 && header.length < MOST_HEADER && !/^[-+.,\d]/.test(trimmed))
      header += ` ${trimmed}`
    else {
      throw new Failure(
        'invalid-input',
        `${where}, line ${index + 1}: "${trimmed.slice(0, 60)}" is not a frequency and a level; every line needs two numbers.`,
        { where, line: index + 1 },
      )
    }
  }
  if (pairs.length < 3) {
    throw new Failure(
      'invalid-input',
      `${where} has ${counted(pairs.length, 'point', 'points')}, and a curve needs at least three.`,
      { where },
    )
  }
  if (isInKilohertz(pairs, header)) {
    for (const pair of pairs) pair[0] *= 1000
    remarks.push('The frequencies were read as kHz.')
  }
  const negative = pairs.find(([frequency]) => frequency <= 0)
  if (negative !== undefined) {
    throw new Failure(
      'invalid-input',
      `${where} has the frequency ${negative[0]} Hz; frequencies must be above zero.`,
      {
        where,
      },
    )
  }
  const { points: all, repeated, wasSorted } = sortedAndMerged(pairs)
  const points = all.frequenciesHz.length > MAX_CURVE_POINTS ? thinned(all) : all
  if (!wasSorted) remarks.push('The points were sorted by frequency.')
  if (repeated > 0)
    remarks.push(`${counted(repeated, 'repeated frequency was', 'repeated frequencies were')} averaged.`)
  if (points !== all) {
    remarks.push(
      `${all.frequenciesHz.length} points were averaged into ${points.frequenciesHz.length}, ${THINNED_PER_OCTAVE} to the octave.`,
    )
  }
  const parsed = CurvePoints.safeParse(points)
  if (!parsed.success) {
    throw new Failure(
      'invalid-input',
      `${where} cannot be used as a curve: ${parsed.error.issues[0].message}.`,
      { where },
    )
  }
  return { points: parsed.data, remarks }
}

const counted = (count: number, one: string, many: string): string => `${count} ${count === 1 ? one : many}`

/** A number as people write it, with a decimal point or a decimal comma. */
const NUMBER = /^[-+]?(\d+([.,]\d+)?|[.,]\d+)(e[-+]?\d+)?$/i

/** Semicolons, tabs and spaces leave the comma to the decimals; only then is it the separator. */
const SEPARATORS: readonly (readonly [RegExp | string, (line: string) => boolean])[] = [
  [';', (line) => line.includes(';')],
  ['\t', (line) => line.includes('\t')],
  [/\s+/, (line) => /\s/.test(line)],
  [',', (line) => line.includes(',')],
]

/** The first two numbers of one line; null where there are not two. */
function pairOf(line: string): [number, number] | null {
  for (const [separator, isThere] of SEPARATORS) {
    if (!isThere(line)) continue
    const [frequency, level] = line
      .split(separator)
      .map((field) => field.trim())
      .filter((field) => field !== '')
    if (frequency !== undefined && level !== undefined && NUMBER.test(frequency) && NUMBER.test(level)) {
      return [Number(frequency.replace(',', '.')), Number(level.replace(',', '.'))]
    }
  }
  return null
}

function isInKilohertz(pairs: readonly [number, number][], header: string): boolean {
  if (/khz/i.test(header)) return true
  if (/hz/i.test(header)) return false
  return pairs.every(([frequency]) => frequency < HIGHEST_KHZ)
}

function sortedAndMerged(pairs: readonly [number, number][]): {
  points: { frequenciesHz: number[]; levelsDb: number[] }
  repeated: number
  wasSorted: boolean
} {
  const sorted = [...pairs].sort((a, b) => a[0] - b[0])
  const points = { frequenciesHz: [] as number[], levelsDb: [] as number[] }
  let repeated = 0
  for (let i = 0; i < sorted.length; ) {
    let next = i
    let sum = 0
    while (next < sorted.length && sorted[next][0] === sorted[i][0]) sum += sorted[next++][1]
    if (next - i > 1) repeated++
    points.frequenciesHz.push(sorted[i][0])
    points.levelsDb.push(sum / (next - i))
    i = next
  }
  return {
    points,
    repeated,
    wasSorted: pairs.every(([frequency], i) => i === 0 || frequency >= pairs[i - 1][0]),
  }
}

/** Means over equal parts of an octave; an empty part gives no point. */
function thinned(all: { frequenciesHz: number[]; levelsDb: number[] }): {
  frequenciesHz: number[]
  levelsDb: number[]
} {
  const points = { frequenciesHz: [] as number[], levelsDb: [] as number[] }
  const partOf = (frequencyHz: number): number => Math.floor(THINNED_PER_OCTAVE * Math.log2(frequencyHz))
  for (let i = 0; i < all.frequenciesHz.length; ) {
    let next = i
    let logs = 0
    let sum = 0
    const part = partOf(all.frequenciesHz[i])
    while (next < all.frequenciesHz.length && partOf(all.frequenciesHz[next]) === part) {
      logs += Math.log(all.frequenciesHz[next])
      sum += all.levelsDb[next++]
    }
    points.frequenciesHz.push(Math.exp(logs / (next - i)))
    points.levelsDb.push(sum / (next - i))
    i = next
  }
  return points
}

/** The curve as CSV that readCurveText, and any spreadsheet, reads. */
export function writeCurveText(curve: CurveRecord, mic: string | null): string {
  const { frequenciesHz, levelsDb } = curve.points
  const oneLine = (text: string): string => text.replaceAll(/\s+/g, ' ').trim()
  const about = [
    mic === null ? 'target curve' : mic,
    curve.name,
    curve.source,
    curve.pattern === 'unknown' ? '' : curve.pattern,
    curve.distanceM === null ? '' : `${curve.distanceM} m`,
    curve.note,
  ]
  return [
    `# ${oneLine(about.filter((part) => part !== '').join(', '))}`,
    'Frequency (Hz),Level (dB)',
    ...frequenciesHz.map(
      (frequencyHz, i) => `${Number(frequencyHz.toFixed(3))},${Number(levelsDb[i].toFixed(4))}`,
    ),
    '',
  ].join('\n')
}

/** What no file system likes in a name is left out. */
export const curveFileName = (mic: string | null, name: string): string =>
  `${[mic ?? 'Target', name]
    .join(' ')
    .replaceAll(/[\\/:*?"<>|\p{Cc}]/gu, ' ')
    .replaceAll(/\s+/g, ' ')
    .trim()
    .slice(0, 120)}.csv`
