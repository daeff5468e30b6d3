// Keeps rows along the song by what they are of: a take, and the stages before the joint. So a changed stage leaves the
// rows of all joints before it valid, and returning to earlier settings finds theirs.

import type { StageSetup } from '../../contract/render-plan.ts'
import { type JointRows, packRows, ROW_BYTES } from '../../contract/song/joint-rows.ts'
import { hashOfValue } from '../../history/canonical-json.ts'

/** Most bytes that are kept: of a song of 210 s with eight stages, 6 MB are needed. */
const MAX_BYTES = 128 * 1024 * 1024
/** Of all joints of one chain; longer takes have no rows. */
const MAX_BYTES_OF_CHAIN = 48 * 1024 * 1024
/** Raised whenever the rows of the same sound change. */
const ROWS_VERSION = 2

/** Keeps rows along the song. */
export interface RowCache {
  /** The rows of one joint, packed; null if they are not kept any more. */
  read(key: string): Float32Array<ArrayBuffer> | null
  /** Whether all are there; they then count as the ones used last. */
  hasAll(keys: readonly string[]): boolean
  keep(key: string, rows: JointRows): void
  /** As keep, of rows that are packed already. */
  keepPacked(key: string, packed: Float32Array<ArrayBuffer>): void
}

/** An empty cache of at most 128 MiB. */
export function createRowCache(): RowCache {
  const kept = new Map<string, Float32Array<ArrayBuffer>>()
  let bytes = 0
  const touch = (key: string): Float32Array<ArrayBuffer> | null => {
    const rows = kept.get(key)
    if (rows === undefined) return null
    kept.delete(key)
    kept.set(key, rows)
    return rows
  }
  const keepPacked = (key: string, packed: Float32Array<ArrayBuffer>): void => {
    bytes += packed.byteLength - (kept.get(key)?.byteLength ?? 0)
    kept.delete(key)
    kept.set(key, packed)
    for (const [oldest, one] of kept) {
      if (bytes <= MAX_BYTES) break
      kept.delete(oldest)
      bytes -= one.byteLength
    }
  }
  return {
    read: touch,
    hasAll: (keys) => keys.every((key) => kept.has(key)) && keys.every((key) => touch(key) !== null),
    keep: (key, rows) => keepPacked(key, packRows(rows)),
    keepPacked,
  }
}

/** Whether the joints of a chain have rows for a take of so many rows. */
export const hasRows = (rows: number, joints: number): boolean =>
  rows > 0 && rows * joints * ROW_BYTES <= MAX_BYTES_OF_CHAIN

/**
 * The key of each joint's rows. A stage that does nothing leaves the joint as it was, and so its key.
 * @param takeSha256 of the take's bytes
 */
export function rowKeysOf(
  takeSha256: string,
  sampleRateHz: number,
  stages: readonly { readonly setup: StageSetup | null }[],
): string[] {
  const setups = stages.map(({ setup }) => setup)
  return Array.from({ length: stages.length + 1 }, (_, joint) =>
    hashOfValue([
      'rows along the song',
      ROWS_VERSION,
      takeSha256,
      sampleRateHz,
      setups.slice(0, joint).filter((setup) => setup !== null),
    ]),
  )
}
