// Reads curves from the text formats in common use (CSV, semicolons, tabs or spaces, decimal commas, header
// lines, Hz or kHz, points in any order), and writes them as CSV.

import { CurveFrequencyHz, CurveLevelDb, type CurvePoints } from '../../contract/curve.ts'
import type { CurveRecord } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import { MAX_CURVE_POINTS } from '../../contract/text/limits.ts'
import { type CurveRow, readCurveRows } from './curve-rows.ts'

const THINNED_PER_OCTAVE = 96
const FEWEST_POINTS = 3

/** A curve read from a text. */
export interface ReadCurve {
  readonly points: CurvePoints
  /** What the engineer should know about how the text was read. */
  readonly remarks: readonly string[]
}

/**
 * @param where name of the text in failures
 * @throws Failure `invalid-input` with the line that cannot be read
 */
export function readCurveText(text: string, where: string): ReadCurve {
  const { rows, remarks, isInKilohertz } = readCurveRows(text, where)
  if (rows.length < FEWEST_POINTS) throw tooFew(where, rows.length, 'point', 'points')
  const scale = isInKilohertz ? 1000 : 1
  if (isInKilohertz) remarks.push('The frequencies were read as kHz.')
  const pairs = rows.map((row): [number, number] => {
    const frequencyHz = row.frequency * scale
    refuseOutside(row, frequencyHz, where)
    return [frequencyHz, row.levelDb]
  })
  const { points: all, repeated, wasSorted } = sortedAndMerged(pairs)
  if (all.frequenciesHz.length < FEWEST_POINTS) {
    throw tooFew(where, all.frequenciesHz.length, 'frequency', 'different frequencies')
  }
  const points = all.frequenciesHz.length > MAX_CURVE_POINTS ? thinned(all) : all
  if (!wasSorted) remarks.push('The points were sorted by frequency.')
  if (repeated > 0)
    remarks.push(`${counted(repeated, 'repeated frequency was', 'repeated frequencies were')} averaged.`)
  if (points !== all) {
    remarks.push(
      `${all.frequenciesHz.length} points were averaged into ${points.frequenciesHz.length}, ${THINNED_PER_OCTAVE} to the octave.`,
    )
  }
  return { points, remarks }
}

function tooFew(where: string, count: number, one: string, many: string): Failure {
  return new Failure(
    'invalid-input',
    `${where} has ${counted(count, one, many)}, and a curve needs at least three.`,
    { where },
  )
}

/** @throws Failure `invalid-input` for a point beyond what CurvePoints allows */
function refuseOutside({ line, text, levelDb }: CurveRow, frequencyHz: number, where: string): void {
  const refuse = (what: string): never => {
    throw new Failure('invalid-input', `${where}, line ${line}: "${text.slice(0, 60)}" ${what}`, {
      where,
      line,
    })
  }
  if (frequencyHz <= 0) {
    refuse(`has a frequency of ${frequencyHz} Hz; frequencies must be above zero, so leave the line out.`)
  }
  const { minValue: lowestHz, maxValue: highestHz } = CurveFrequencyHz
  if (frequencyHz < lowestHz! || frequencyHz > highestHz!) {
    refuse(
      `has a frequency outside ${lowestHz} Hz to ${highestHz! / 1000} kHz; correct it, or leave the line out.`,
    )
  }
  const { minValue: lowestDb, maxValue: highestDb } = CurveLevelDb
  if (levelDb < lowestDb! || levelDb > highestDb!) {
    refuse(`has a level outside ${lowestDb} dB to ${highestDb} dB; export the curve with its levels in dB.`)
  }
}

const counted = (count: number, one: string, many: string): string => `${count} ${count === 1 ? one : many}`

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

/** Averages over equal fractions of an octave; an empty fraction gives no point. */
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

/** The curve as CSV, for readCurveText and for spreadsheets. */
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

/** Leaves out characters that some file systems do not allow. */
export const curveFileName = (mic: string | null, name: string): string =>
  `${[mic ?? 'Target', name]
    .join(' ')
    .replaceAll(/[\\/:*?"<>|\p{Cc}]/gu, ' ')
    .replaceAll(/\s+/g, ' ')
    .trim()
    .slice(0, 120)}.csv`
