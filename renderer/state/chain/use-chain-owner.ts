// The chain that the Chain place shows for the current selection, the takes it can be
// measured on, and the voice it belongs to.

import { useQuery } from '@tanstack/react-query'
import type { Group, SessionContents, Take, Voice } from '../../../app/contract/entities.ts'
import { useCurrentSession, voicesQuery } from '../queries.ts'
import { useSelection } from '../selection.ts'
import type { ChainDraft } from './chain-draft.ts'
import { type ChainInUse, chainOf, currentGroup } from './chain-owner.ts'

/** The current chain with what the Chain place shows beside it. */
export interface OwnedChain extends ChainInUse {
  readonly contents: SessionContents
  /** The current group, even if all groups share a chain; null in a session without groups. */
  readonly group: Group | null
  /** Takes placed in the group, or in any group if all share a chain; each once. */
  readonly takes: readonly Take[]
  readonly take: Take | null
  readonly voice: Voice | null
}

/** null until a session is open and its contents have been read. */
export function useChainOwner(): OwnedChain | null {
  const selection = useSelection()
  const contents = useCurrentSession().data
  const voices = useQuery({
    ...voicesQuery(contents?.session.artistId),
    enabled: contents !== undefined,
  }).data
  if (contents === undefined) return null
  const group = currentGroup(contents, selection)
  const { owner, used } = chainOf(contents, group)
  const placed = contents.layers.filter(
    (layer) => contents.session.chainSharing === 'shared' || layer.groupId === group?.id,
  )
  const takeIds = new Set(placed.map((layer) => layer.takeId))
  const takes = contents.takes.filter(({ id }) => takeIds.has(id))
  const first = placed.find((layer) => layer.role === 'lead') ?? placed[0]
  const take =
    takes.find(({ id }) => id === selection.takeId) ?? takes.find(({ id }) => id === first?.takeId) ?? null
  return {
    contents,
    owner,
    group,
    used,
    takes,
    take,
    voice: voiceOf(used?.voiceId ?? take?.voiceId ?? null, voices ?? []),
  }
}

const voiceOf = (voiceId: number | null, voices: readonly Voice[]): Voice | null =>
  voices.find(({ id }) => id === voiceId) ?? voices[0] ?? null

/** The voice that a draft is saved for while the Chain place is not open. */
export function useVoiceOfDraft(contents: SessionContents, draft: ChainDraft | null): Voice | null {
  const voices = useQuery(voicesQuery(contents.session.artistId)).data ?? []
  const isOfOwner = (layer: { groupId: number }): boolean =>
    draft?.owner.groupId == null || layer.groupId === draft.owner.groupId
  const layer =
    contents.layers.find((one) => isOfOwner(one) && one.role === 'lead') ?? contents.layers.find(isOfOwner)
  const take = contents.takes.find(({ id }) => id === layer?.takeId)
  return voiceOf(draft?.version?.voiceId ?? take?.voiceId ?? null, voices)
}
