// Measures the joints of a chain for one take, whole and along the song. While a new measurement runs, the previous
// figures remain, marked as stale.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import { useMemo } from 'react'
import type { SongOfChain } from '../../../../app/contract/song/joint-rows.ts'
import { type ChainRows, stagesOf } from '../../../formats/chain/chain-rows.ts'
import { type MeasuredSong, measurementOver, rowsOfSeconds } from '../../../formats/song/range-figures.ts'
import type { TakeRange } from '../../../formats/song/song-ranges.ts'
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
  readonly isTooLong: boolean
  readonly isMeasuring: boolean
  /** Message of a measurement that failed. */
  readonly failure: string | null
}

interface Measured extends MeasuredBefore {
  readonly measurement: SongOfChain
}

/**
 * Measures 300 ms after the last change.
 * @param takeId null for no measurement
 * @param range that the figures are of; null for the whole take
 */
export function useChainMeasurement(
  takeId: number | null,
  rows: ChainRows,
  range: TakeRange | null,
): ChainMeasuring {
  const settled = useAtRest(rows, REST_MS)
  const query = useQuery({
    queryKey: ['chain measurement', takeId, stagesOf(settled)],
    queryFn: async ({ signal }): Promise<Measured> => {
      const stages = stagesOf(settled)
      return {
        takeId: takeId!,
        keys: settled.map((row) => row.key),
        stages,
        measurement: await client.measureChain({ takeId: takeId!, stages }, { signal }),
      }
    },
    enabled: takeId !== null,
    placeholderData: keepPreviousData,
    gcTime: KEPT_MS,
    meta: { subjects: ['takes', 'mics'] },
  })
  const { data } = query
  const layout = data?.measurement.rows ?? null
  const song = useSong(data)
  // Rows of the settings before, while those of the last ones are on their way, belong to no figures that are shown.
  const ready = song !== null && song.layout.keys === layout?.keys ? song : null
  const chain = useMemo(() => {
    if (data === undefined || takeId === null) return null
    return matchMeasurement(ready === null ? data : withRange(data, ready, range), takeId, rows)
  }, [data, takeId, rows, ready, range])
  return {
    chain,
    song,
    isTooLong: data !== undefined && layout === null && data.measurement.seconds > 0,
    isMeasuring: takeId !== null && (query.isFetching || settled !== rows),
    failure: query.error?.message ?? null,
  }
}

/** What was measured, with the figures of a range in place of those of the whole take. */
function withRange(data: Measured, song: MeasuredSong, range: TakeRange | null): MeasuredBefore {
  const over = range === null ? null : rowsOfSeconds(song.layout, range.fromSeconds, range.toSeconds)
  return over === null ? data : { ...data, measurement: measurementOver(song, data.measurement, over) }
}
