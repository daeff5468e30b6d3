// Rows along the song at one joint of a chain, as they travel to the window: 32-bit floats, field after field, and
// behind them the third octaves, four bytes in the place of a float.

import { z } from 'zod'
import type { SongRows } from '../../dsp/meters/song/row-meter.ts'
import { Sha256 } from '../entities.ts'
import { ChainMeasurement, STRANDS } from '../joints.ts'

/** The rows of one joint; see the engine's row meter for what each field is. */
export type JointRows = SongRows

/** Strands, then power, K-weighted power, peak, least and greatest of what the stage before the joint does. */
const FIELDS = STRANDS.length + 5

/** Nominal frequencies of the third octaves of rows, ISO 266. */
export const ROW_BANDS_HZ = [
  80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000, 5000, 6300,
  8000, 10_000, 12_500, 16_000,
] as const
const BANDS = ROW_BANDS_HZ.length
/** A byte of a band is two times its level over this, dBFS; 0 is nothing. */
const BAND_FLOOR_DBFS = -115.5

/** Mean square that each byte of a band stands for. */
export const BAND_POWERS: readonly number[] = Array.from({ length: 256 }, (_, byte) =>
  byte === 0 ? 0 : 10 ** ((BAND_FLOOR_DBFS + byte / 2) / 10),
)

/** Bytes of one row of one joint. */
export const ROW_BYTES = 4 * FIELDS + BANDS

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

/** A chain that was measured on its whole group; `startFrame` is the session frame of the first row. */
export const SongOfGroup = SongOfChain.extend({ startFrame: z.int() })
export type SongOfGroup = z.infer<typeof SongOfGroup>

/** One joint's rows in the order of the fields. */
export function packRows(rows: JointRows): Float32Array<ArrayBuffer> {
  const parts = [rows.strandPowers, rows.powers, rows.loudnessPowers, rows.peaks, rows.leastDb, rows.mostDb]
  const floats = parts.reduce((sum, part) => sum + part.length, 0)
  const packed = new Float32Array(floats + rows.thirds.length / 4)
  new Uint8Array(packed.buffer, 4 * floats).set(rows.thirds)
  let at = 0
  for (const part of parts) {
    packed.set(part, at)
    at += part.length
  }
  return packed
}

/** The rows in `packed`; null where its length is that of no rows. */
export function unpackRows(packed: Float32Array): JointRows | null {
  const rows = (4 * packed.length) / ROW_BYTES
  if (!Number.isInteger(rows)) return null
  const first = STRANDS.length
  const field = (k: number): Float32Array => packed.subarray((first + k) * rows, (first + k + 1) * rows)
  return {
    strandPowers: packed.subarray(0, first * rows),
    thirds: new Uint8Array(packed.buffer, packed.byteOffset + 4 * FIELDS * rows, BANDS * rows),
    powers: field(0),
    loudnessPowers: field(1),
    peaks: field(2),
    leastDb: field(3),
    mostDb: field(4),
  }
}
