// Select items for the chain versions of an artist's voices, sorted by chain, newest version first.

import { useQueries, useQuery } from '@tanstack/react-query'
import { useMemo } from 'react'
import type { ChainVersion } from '../../../app/contract/entities.ts'
import { formatMoment } from '../../../app/words/format.ts'
import { byNewest, versionNumber } from '../../formats/chain/version-words.ts'
import type { SelectItem } from '../../parts/fields/select.tsx'
import { chainsQuery, chainVersionsQuery, voicesQuery } from '../../state/queries.ts'

const NONE: readonly never[] = []
/** One function for all renderings: its result then stays the same array. */
const dataOf = (results: readonly { data?: ChainVersion[] | undefined }[]): ChainVersion[] =>
  results.flatMap((result) => result.data ?? [])

/** @param known versions that the session already uses; they are listed before the queries have loaded */
export function useChainChoices(
  artistId: number,
  known: readonly ChainVersion[],
): readonly SelectItem<number>[] {
  const voices = useQuery(voicesQuery(artistId)).data ?? NONE
  const chains = useQuery(chainsQuery(undefined)).data ?? NONE
  const ofArtist = chains.filter((chain) => voices.some((voice) => voice.id === chain.voiceId))
  const versions = useQueries({
    queries: ofArtist.map((chain) => chainVersionsQuery(chain.id)),
    combine: dataOf,
  })
  return useMemo(() => choicesOf(versions, known), [versions, known])
}

function choicesOf(versions: readonly ChainVersion[], known: readonly ChainVersion[]): SelectItem<number>[] {
  const all = [...versions, ...known.filter((one) => !versions.some((version) => version.id === one.id))]
  return all
    .sort((a, b) => a.chainName.localeCompare(b.chainName) || byNewest(a, b))
    .map((version) => ({
      key: version.id,
      name: `${version.chainName}, version ${versionNumber(version)}`,
      detail: version.note === '' ? formatMoment(version.createdAt) : version.note,
    }))
}
