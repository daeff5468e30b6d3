// The chain that a take's proposals go into: the shared chain if the groups share one, else that of the
// group it is placed in, else that of the current group.

import type { SessionContents } from '../../app/contract/entities.ts'
import { type ChainInUse, chainOf } from '../state/chain/chain-owner.ts'

/** @returns null if the session has no group yet */
export function chainForTake(
  contents: SessionContents,
  takeId: number,
  currentGroupId: number | null,
): ChainInUse | null {
  const { session, groups, layers } = contents
  if (session.chainSharing === 'shared') return chainOf(contents, null)
  const placed = layers.filter((layer) => layer.takeId === takeId)
  const groupId =
    placed.find((layer) => layer.groupId === currentGroupId)?.groupId ?? placed[0]?.groupId ?? currentGroupId
  const group = groups.find(({ id }) => id === groupId) ?? groups[0]
  return group === undefined ? null : chainOf(contents, group)
}
