// Whose chain a take's proposals go into: that of the group it is placed in, of the whole
// session where all share one, and else of the group that is looked at.

import type { ChainVersion, SessionContents } from '../../app/contract/entities.ts'
import type { ChainOwner } from '../state/chain/chain-draft.ts'

export interface ChainForTake {
  readonly owner: ChainOwner
  readonly used: ChainVersion | null
}

/** null where the session has no group yet. */
export function chainForTake(
  { session, groups, layers, chainVersions }: SessionContents,
  takeId: number,
  lookedAtGroupId: number | null,
): ChainForTake | null {
  const versionAt = (id: number | null): ChainVersion | null =>
    chainVersions.find((version) => version.id === id) ?? null
  if (session.chainSharing === 'shared') {
    return {
      owner: { sessionId: session.id, groupId: null, name: 'The whole session' },
      used: versionAt(session.sharedChainVersionId),
    }
  }
  const placed = layers.filter((layer) => layer.takeId === takeId)
  const groupId =
    placed.find((layer) => layer.groupId === lookedAtGroupId)?.groupId ??
    placed[0]?.groupId ??
    lookedAtGroupId
  const group = groups.find(({ id }) => id === groupId) ?? groups[0]
  if (group === undefined) return null
  return {
    owner: { sessionId: session.id, groupId: group.id, name: group.name },
    used: versionAt(group.chainVersionId),
  }
}
