// Lanes along the song: what each stage that acts on level does, and the places where it does more than usual.

import type { MeasuredStage } from '../../../app/contract/joints.ts'
import type { JointSums } from './joint-sums.ts'
import { type Pyramid, pyramidOf } from './pyramid.ts'
import { activeRuns, LOUD_POWER, type MeasuredSong, type RowRange } from './range-figures.ts'

/** 'reduction': dB taken away, 0 or more; 'added': level of what is added in relation to what comes out, dB. */
type LaneMeasure = 'reduction' | 'added'

/** What one stage does along the song. */
export interface Lane {
  /** Index of the stage in the chain. */
  readonly stage: number
  readonly kind: string
  readonly measure: LaneMeasure
  readonly rows: JointSums
  readonly pyramid: Pyramid
}

/** A stage adds nothing that could be heard below this. */
export const ADDED_FLOOR_DB = -60
/** Less than this is no reduction. */
const ACTING_DB = 0.1
/** A place is at least so much over the usual figure. */
const LEAST_OVER_DB = 2
/** Of all rows in which the stage acts, those of a place are among this share at the top. */
const TOP_SHARE = 0.1
/** Places closer together are one. */
const GAP_SECONDS = 0.25
/** The greatest ones of a lane; a list of hundreds helps nobody. */
const MAX_PLACES = 24

const REDUCING: readonly string[] = ['expander', 'de-ess', 'opto', 'ceiling']

/** Rows never change, so neither does what is made of them. */
const pyramids = new WeakMap<JointSums, Pyramid>()

/** The lanes of a chain in the order of its stages; empty without stages that act on level. */
export function lanesOf(song: MeasuredSong, stages: readonly MeasuredStage[]): Lane[] {
  return stages.flatMap((stage, index): Lane[] => {
    const rows = song.joints[index + 1]
    const reduces = REDUCING.includes(stage.kind)
    // Where a stage does nothing, its joint has the rows of the one before.
    if (!stage.on || (!reduces && stage.kind !== 'drive') || rows === song.joints[index]) return []
    let pyramid = pyramids.get(rows)
    if (pyramid === undefined) {
      pyramid = pyramidOf(rows.rows.leastDb, rows.rows.mostDb)
      pyramids.set(rows, pyramid)
    }
    return [{ stage: index, kind: stage.kind, measure: reduces ? 'reduction' : 'added', rows, pyramid }]
  })
}

/** A stretch in which a stage does more than usual. */
export interface LanePlace extends RowRange {
  readonly lane: Lane
  /** The greatest figure in it, and the row that has it. */
  readonly mostDb: number
  readonly mostRow: number
  readonly usualDb: number
}

/**
 * Places where the stage of a lane does more than usual while the voice sounds, in the order of time: in the top tenth of
 * the rows in which it acts, and at least 2 dB over their median. At most 24, the greatest ones.
 * @param input the chain's first joint
 */
export function placesOf(lane: Lane, { layout, joints: [input] }: MeasuredSong): LanePlace[] {
  const { mostDb } = lane.rows.rows
  const floorDb = lane.measure === 'reduction' ? ACTING_DB : ADDED_FLOOR_DB
  const acts = (row: number): boolean => input.rows.powers[row] > LOUD_POWER && mostDb[row] >= floorDb
  const acting = Float64Array.from(mostDb.filter((_, row) => acts(row))).sort()
  if (acting.length === 0) return []
  const usualDb = acting[acting.length >> 1]
  const topDb = acting[Math.floor((1 - TOP_SHARE) * (acting.length - 1))]
  const fromDb = Math.max(usualDb + LEAST_OVER_DB, topDb)
  const gapRows = Math.ceil((GAP_SECONDS * layout.sampleRateHz) / layout.rowFrames)
  const places: LanePlace[] = []
  for (let row = 0; row < mostDb.length; row++) {
    if (mostDb[row] < fromDb || !acts(row)) continue
    const last = places.at(-1)
    const isSame = last !== undefined && row - last.toRow <= gapRows
    const before = isSame ? last : { mostDb: Number.NEGATIVE_INFINITY, mostRow: row, fromRow: row }
    const isGreatest = mostDb[row] > before.mostDb
    const place: LanePlace = {
      lane,
      usualDb,
      fromRow: before.fromRow,
      toRow: row + 1,
      mostDb: isGreatest ? mostDb[row] : before.mostDb,
      mostRow: isGreatest ? row : before.mostRow,
    }
    if (isSame) places[places.length - 1] = place
    else places.push(place)
  }
  const leastShown = places
    .map((place) => place.mostDb)
    .sort((a, b) => b - a)
    .at(MAX_PLACES - 1)
  return leastShown === undefined
    ? places
    : places.filter((one) => one.mostDb >= leastShown).slice(0, MAX_PLACES)
}

/** Level of what a drive adds over a range, in relation to what comes out of it, dB; null where nothing sounds. */
export function addedOver(lane: Lane, { joints: [input] }: MeasuredSong, range: RowRange): number | null {
  const { mostDb, powers } = lane.rows.rows
  let added = 0
  let whole = 0
  for (const { fromRow, toRow } of activeRuns(input, range)) {
    for (let row = fromRow; row < toRow; row++) {
      added += powers[row] * 10 ** (mostDb[row] / 10)
      whole += powers[row]
    }
  }
  return whole === 0 ? null : 10 * Math.log10(added / whole)
}
