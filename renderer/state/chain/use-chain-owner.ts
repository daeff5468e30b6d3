// Whose chain the place shows under the present selection, which takes it can be measured
// on, and which voice it belongs to.

import { useQuery } from '@tanstack/react-query'
import type { ChainVersion, Group, SessionContents, Take, Voice } from '../../../app/contract/entities.ts'
import { useCurrentSession, voicesQuery } from '../queries.ts'
import { useSelection } from '../selection.ts'
import type { ChainDraft, ChainOwner } from './chain-draft.ts'

export interface OwnedChain {
  readonly contents: SessionContents
  readonly owner: ChainOwner
  /** The group that is looked at; also where all share, for its takes. */
  readonly group: Group | null
  readonly used: ChainVersion | null
  /** Takes placed in the group, or in any where all share; each once. */
  readonly takes: readonly Take[]
  readonly take: Take | null
  readonly voice: Voice | null
}

/** null until a session is there. */
export function useChainOwner(): OwnedChain | null {
  const selection = useSelection()
  const contents = useCurrentSession().data
  const voices = useQuery({
    ...voicesQuery(contents?.session.artistId),
    enabled: contents !== undefined,
  }).data
  if (contents === undefined) return null
  const { session, groups, layers } = contents
  const isShared = session.chainSharing === 'shared'
  // The first group with something in it says more than an empty one.
  const group =
    groups.find(({ id }) => id === selection.groupId) ??
    groups.find(({ id }) => layers.some((layer) => layer.groupId === id)) ??
    groups[0] ??
    null
  const usedId = isShared ? session.sharedChainVersionId : (group?.chainVersionId ?? null)
  const placed = layers.filter((layer) => isShared || layer.groupId === group?.id)
  const takeIds = new Set(placed.map((layer) => layer.takeId))
  const takes = contents.takes.filter(({ id }) => takeIds.has(id))
  const first = placed.find((layer) => layer.role === 'lead') ?? placed[0]
  const take =
    takes.find(({ id }) => id === selection.takeId) ?? takes.find(({ id }) => id === first?.takeId) ?? null
  const used = contents.chainVersions.find(({ id }) => id === usedId) ?? null
  return {
    contents,
    owner: {
      sessionId: session.id,
      groupId: isShared ? null : (group?.id ?? null),
      name: isShared ? 'The whole session' : (group?.name ?? ''),
    },
    group,
    used,
    takes,
    take,
    voice: voiceOf(used?.voiceId ?? take?.voiceId ?? null, voices ?? []),
  }
}

const voiceOf = (voiceId: number | null, voices: readonly Voice[]): Voice | null =>
  voices.find(({ id }) => id === voiceId) ?? voices[0] ?? null

/** The voice that a draft is saved for while the place itself is not open. */
export function useVoiceOfDraft(contents: SessionContents, draft: ChainDraft | null): Voice | null {
  const voices = useQuery(voicesQuery(contents.session.artistId)).data ?? []
  const isOfOwner = (layer: { groupId: number }): boolean =>
    draft?.owner.groupId == null || layer.groupId === draft.owner.groupId
  const layer =
    contents.layers.find((one) => isOfOwner(one) && one.role === 'lead') ?? contents.layers.find(isOfOwner)
  const take = contents.takes.find(({ id }) => id === layer?.takeId)
  return voiceOf(draft?.version?.voiceId ?? take?.voiceId ?? null, voices)
}
