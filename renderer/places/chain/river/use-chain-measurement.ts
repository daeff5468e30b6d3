// Measures the joints of a chain for one take or a whole group, whole and along the song. While a new measurement runs, the previous
// figures remain, marked as stale.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import { useMemo } from 'react'
import type { SongOfChain, SongOfGroup } from '../../../../app/contract/song/joint-rows.ts'
import { type ChainRows, stagesOf } from '../../../formats/chain/chain-rows.ts'
import { type MeasuredSong, measurementOver, rowsOfSeconds } from '../../../formats/song/range-figures.ts'
import type { SongRange } from '../../../formats/song/song-ranges.ts'
import { useAtRest } from '../../../parts/use-at-rest.ts'
import { client } from '../../../state/connection.ts'
import { type MeasuredBefore, type MeasuredChain, matchMeasurement } from './match-measurement.ts'
import { type SongOfStages, useSong } from './use-song.ts'

const REST_MS = 300
const KEPT_MS = 60_000

/** The state of a measurement. */
export interface ChainMeasuring {
  /** null until the first measurement. */
  readonly chain: MeasuredChain | null
  /** What was measured last along the song; null before the first, and for takes that are too long. */
  readonly song: SongOfStages | null
  /** Session frame at which a measured group begins; null for a take. */
  readonly startFrame: number | null
  readonly isTooLong: boolean
  readonly isMeasuring: boolean
  /** Message of a measurement that failed. */
  readonly failure: string | null
}

/** What a chain is measured on. */
export type MeasuredThing =
  | { readonly kind: 'take'; readonly takeId: number }
  | { readonly kind: 'group'; readonly groupId: number }

/** By which what was measured, and what is chosen of it, is known. */
export const measuredKey = (thing: MeasuredThing | null): string | null =>
  thing === null ? null : thing.kind === 'take' ? `take ${thing.takeId}` : `group ${thing.groupId}`

interface Measured extends MeasuredBefore {
  readonly measurement: SongOfChain & Partial<SongOfGroup>
}

/**
 * Measures 300 ms after the last change.
 * @param thing null for no measurement
 * @param range that the figures are of; null for the whole
 */
export function useChainMeasurement(
  thing: MeasuredThing | null,
  rows: ChainRows,
  range: SongRange | null,
): ChainMeasuring {
  const settled = useAtRest(rows, REST_MS)
  const of = measuredKey(thing)
  const query = useQuery({
    queryKey: ['chain measurement', of, stagesOf(settled)],
    queryFn: async ({ signal }): Promise<Measured> => {
      const stages = stagesOf(settled)
      return {
        of: of!,
        keys: settled.map((row) => row.key),
        stages,
        measurement:
          thing?.kind === 'group'
            ? await client.measureGroup({ groupId: thing.groupId, stages }, { signal })
            : await client.measureChain({ takeId: thing!.takeId, stages }, { signal }),
      }
    },
    enabled: thing !== null,
    placeholderData: keepPreviousData,
    gcTime: KEPT_MS,
    meta: { subjects: thing?.kind === 'group' ? ['takes', 'mics', 'stack', 'sessions'] : ['takes', 'mics'] },
  })
  const { data } = query
  const layout = data?.measurement.rows ?? null
  const song = useSong(data)
  // Rows of the settings before, while those of the last ones are on their way, belong to no figures that are shown.
  const ready = song !== null && song.layout.keys === layout?.keys ? song : null
  const chain = useMemo(() => {
    if (data === undefined || of === null) return null
    return matchMeasurement(ready === null ? data : withRange(data, ready, range), of, rows)
  }, [data, of, rows, ready, range])
  return {
    chain,
    song,
    isTooLong: data !== undefined && layout === null && data.measurement.seconds > 0,
    startFrame: data?.of === of ? (data?.measurement.startFrame ?? null) : null,
    isMeasuring: thing !== null && (query.isFetching || settled !== rows),
    failure: query.error?.message ?? null,
  }
}

/** What was measured, with the figures of a range in place of those of the whole take. */
function withRange(data: Measured, song: MeasuredSong, range: SongRange | null): MeasuredBefore {
  const over = range === null ? null : rowsOfSeconds(song.layout, range.fromSeconds, range.toSeconds)
  return over === null ? data : { ...data, measurement: measurementOver(song, data.measurement, over) }
}
