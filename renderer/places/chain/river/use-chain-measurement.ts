// Measures the joints of a chain for one take or a whole group, whole and along the song. While a new measurement runs, the
// previous figures remain, marked as stale. Of a long take a part is measured first, and shown until the whole is there.

import { keepPreviousData, useQuery } from '@tanstack/react-query'
import { useMemo } from 'react'
import type { Take } from '../../../../app/contract/entities.ts'
import type { ChainMeasurement } from '../../../../app/contract/joints.ts'
import type { SongOfChain, SongOfGroup } from '../../../../app/contract/song/joint-rows.ts'
import { type ChainRows, stagesOf } from '../../../formats/chain/chain-rows.ts'
import { firstPartOf, type TakeSeconds } from '../../../formats/song/first-part.ts'
import { type MeasuredSong, measurementOver, rowsOfSeconds } from '../../../formats/song/range-figures.ts'
import type { TakeRange } from '../../../formats/song/song-ranges.ts'
import { useAtRest } from '../../../parts/use-at-rest.ts'
import { client } from '../../../state/connection.ts'
import { queryClient } from '../../../state/query-client.ts'
import { isSame, type MeasuredBefore, type MeasuredChain, matchMeasurement } from './match-measurement.ts'
import { type SongOfStages, useSong } from './use-song.ts'

const REST_MS = 300
const KEPT_MS = 60_000

/** The state of a measurement. */
export interface ChainMeasuring {
  /** Of the whole take or the range; null until the first measurement. */
  readonly chain: MeasuredChain | null
  /** Of a part of the take, while the whole is measured; null where `chain` is as new. */
  readonly first: { readonly chain: MeasuredChain; readonly part: TakeSeconds } | null
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

interface Measured<M extends ChainMeasurement> extends MeasuredBefore {
  readonly measurement: M
}

/**
 * Measures 300 ms after the last change.
 * @param thing null for no measurement
 * @param take that is measured, or that stands for the group in the window
 * @param range that the figures are of; null for the whole
 */
export function useChainMeasurement(
  thing: MeasuredThing | null,
  take: Take | null,
  rows: ChainRows,
  range: TakeRange | null,
): ChainMeasuring {
  const settled = useAtRest(rows, REST_MS)
  const of = measuredKey(thing)
  const stages = stagesOf(settled)
  const measured = <M extends ChainMeasurement>(measurement: M): Measured<M> => ({
    of: of!,
    keys: settled.map((row) => row.key),
    stages,
    measurement,
  })
  const part = useMemo(
    () => (take === null || thing?.kind !== 'take' ? null : firstPartOf(take, range)),
    [take, thing, range],
  )
  const queryKey = ['chain measurement', of, stages]
  const isWholeKnown = queryClient.getQueryData(queryKey) !== undefined
  const ofPart = useQuery({
    queryKey: ['chain part', of, stages, part],
    queryFn: async ({ signal }) => ({
      ...measured(await client.measureChainPart({ takeId: take!.id, stages, ...part! }, { signal })),
      part: part!,
    }),
    enabled: part !== null && !isWholeKnown,
    placeholderData: keepPreviousData,
    gcTime: KEPT_MS,
    // The whole tells what is wrong.
    retry: false,
    meta: { subjects: ['takes', 'mics'] },
  })
  const query = useQuery({
    queryKey,
    queryFn: async ({ signal }): Promise<Measured<SongOfChain & Partial<SongOfGroup>>> =>
      measured(
        thing?.kind === 'group'
          ? await client.measureGroup({ groupId: thing.groupId, stages }, { signal })
          : await client.measureChain({ takeId: thing!.takeId, stages }, { signal }),
      ),
    // After the part, because both need all threads.
    enabled: thing !== null && (part === null || isWholeKnown || (ofPart.isFetched && !ofPart.isFetching)),
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
  const isWholeNew = data !== undefined && !query.isPlaceholderData
  // The part of settings of which the whole is known tells nothing new.
  const newer = part === null || isWholeNew || isOfSame(ofPart.data, data) ? undefined : ofPart.data
  const first = useMemo(
    () =>
      newer === undefined || of === null
        ? null
        : { chain: matchMeasurement(newer, of, rows), part: newer.part },
    [newer, of, rows],
  )
  return {
    chain,
    first,
    song,
    isTooLong: data !== undefined && layout === null && data.measurement.seconds > 0,
    startFrame: data?.of === of ? (data?.measurement.startFrame ?? null) : null,
    isMeasuring: thing !== null && (ofPart.isFetching || query.isFetching || settled !== rows),
    failure: query.error?.message ?? null,
  }
}

const isOfSame = (a: MeasuredBefore | undefined, b: MeasuredBefore | undefined): boolean =>
  a !== undefined && b !== undefined && a.of === b.of && isSame(a.stages, b.stages)

/** What was measured, with the figures of a range in place of those of the whole take. */
function withRange(data: Measured<SongOfChain>, song: MeasuredSong, range: TakeRange | null): MeasuredBefore {
  const over = range === null ? null : rowsOfSeconds(song.layout, range.fromSeconds, range.toSeconds)
  return over === null ? data : { ...data, measurement: measurementOver(song, data.measurement, over) }
}
