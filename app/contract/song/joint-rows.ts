// Rows along the song at one joint of a chain, as they travel to the window: 32-bit floats, field after field.

import { z } from 'zod'
import type { SongRows } from '../../dsp/meters/song/row-meter.ts'
import { Sha256 } from '../entities.ts'
import { ChainMeasurement, STRANDS } from '../joints.ts'

/** The rows of one joint; see the engine's row meter for what each field is. */
export type JointRows = SongRows

/** Strands, then power, K-weighted power, peak, least and greatest of what the stage before the joint does. */
const FIELDS = STRANDS.length + 5

/** Bytes of one row of one joint. */
export const ROW_BYTES = 4 * FIELDS

/** Where the rows of a measured chain are, and how they lie. */
export const RowsOfChain = z.object({
  sampleRateHz: z.number().positive(),
  /** Of the take. */
  frames: z.int().nonnegative(),
  /** Frames of a row; the last one may have fewer. */
  rowFrames: z.int().positive(),
  /** The name of each joint's rows, as in `rowsRoute`: equal names are equal rows. */
  keys: z.array(Sha256),
})
export type RowsOfChain = z.infer<typeof RowsOfChain>

/** A measured chain with its rows along the song; null for takes that are too long for them. */
export const SongOfChain = ChainMeasurement.extend({ rows: RowsOfChain.nullable() })
export type SongOfChain = z.infer<typeof SongOfChain>

/** One joint's rows in the order of the fields. */
export function packRows(rows: JointRows): Float32Array<ArrayBuffer> {
  const parts = [rows.strandPowers, rows.powers, rows.loudnessPowers, rows.peaks, rows.leastDb, rows.mostDb]
  const packed = new Float32Array(parts.reduce((sum, part) => sum + part.length, 0))
  let at = 0
  for (const part of parts) {
    packed.set(part, at)
    at += part.length
  }
  return packed
}

/** The rows in `packed`; null where its length is that of no rows. */
export function unpackRows(packed: Float32Array): JointRows | null {
  const rows = packed.length / FIELDS
  if (!Number.isInteger(rows)) return null
  const first = STRANDS.length
  const field = (k: number): Float32Array => packed.subarray((first + k) * rows, (first + k + 1) * rows)
  return {
    strandPowers: packed.subarray(0, first * rows),
    powers: field(0),
    loudnessPowers: field(1),
    peaks: field(2),
    leastDb: field(3),
    mostDb: field(4),
  }
}
