// The rows along the song of a measured chain, from the host; rows that are here already are not asked for again.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import { Failure } from '../../../../app/contract/failure.ts'
import type { MeasuredStage } from '../../../../app/contract/joints.ts'
import {
  type JointRows,
  type RowsOfChain,
  type SongOfChain,
  unpackRows,
} from '../../../../app/contract/song/joint-rows.ts'
import { rowsRoute } from '../../../../app/contract/wire/sound-routes.ts'
import { type JointSums, sumsOf } from '../../../formats/song/joint-sums.ts'
import type { MeasuredSong } from '../../../formats/song/range-figures.ts'
import { fetchFromHost } from '../../../state/host-fetch.ts'
import { queryClient } from '../../../state/query-client.ts'

/** Joints whose rows stay here; a chain has at most thirteen, and the last settings have some in common. */
const MAX_JOINTS = 40
const KEPT_MS = 60_000

const here = new Map<string, JointSums>()

async function readJoint(key: string, signal: AbortSignal): Promise<JointSums> {
  const known = here.get(key)
  if (known !== undefined) {
    // Used last, so dropped last.
    here.delete(key)
    here.set(key, known)
    return known
  }
  const answer = await fetchFromHost(rowsRoute(key), { signal })
  const rows: JointRows | null = answer.ok ? unpackRows(new Float32Array(await answer.arrayBuffer())) : null
  if (rows === null) {
    throw new Failure('not-found', 'The lanes along the song are gone; they are measured again.')
  }
  const sums = sumsOf(rows)
  here.set(key, sums)
  for (const oldest of here.keys()) {
    if (here.size <= MAX_JOINTS) break
    here.delete(oldest)
  }
  return sums
}

/** A measured song with its stages, and the keys of their rows in the chain. */
export interface SongOfStages extends MeasuredSong {
  readonly stages: readonly MeasuredStage[]
  readonly keys: readonly number[]
}

/** Place of a stage in the measured song; that in the chain where the row has come since. */
export function placeInSong({ keys }: SongOfStages, rowKey: number, placeInChain: number): number {
  const place = keys.indexOf(rowKey)
  return place === -1 ? placeInChain : place
}

/** What was measured: see useChainMeasurement. */
interface Measured {
  readonly keys: readonly number[]
  readonly measurement: SongOfChain
}

async function readSong(
  layout: RowsOfChain,
  { keys, measurement: { stages } }: Measured,
  signal: AbortSignal,
): Promise<SongOfStages> {
  try {
    // Each once: a joint behind a stage that does nothing has the very rows of the one before, by which lanes tell.
    const once = [...new Set(layout.keys)].map(async (key) => [key, await readJoint(key, signal)] as const)
    const sums = new Map(await Promise.all(once))
    return { layout, stages, keys, joints: layout.keys.map((key) => sums.get(key)!) }
  } catch (error) {
    // Only a new measurement makes rows that the host has let go of.
    if (error instanceof Failure) void queryClient.invalidateQueries({ queryKey: ['chain measurement'] })
    throw error
  }
}

/** @returns the last song until the next is here; null before the first, and for a take without rows */
export function useSong(measured: Measured | undefined): SongOfStages | null {
  const layout = measured?.measurement.rows ?? null
  const { data } = useQuery({
    queryKey: ['song rows', layout?.keys, measured?.keys],
    queryFn: ({ signal }) => readSong(layout!, measured!, signal),
    enabled: layout !== null,
    placeholderData: keepPreviousData,
    staleTime: Number.POSITIVE_INFINITY,
    gcTime: KEPT_MS,
    retry: false,
  })
  return layout === null ? null : (data ?? null)
}
