// The owner of a chain: each group has its own chain, or all groups of a session share one.

import type { ChainVersion, Group, SessionContents } from '../../../app/contract/entities.ts'
import type { Selection } from '../selection.ts'

/** One group; or, if groupId is null, all groups of the session, which share a chain. */
export interface ChainOwner {
  readonly sessionId: number
  readonly groupId: number | null
  readonly name: string
}

/** The saved chain of an owner. */
export interface ChainInUse {
  readonly owner: ChainOwner
  /** The version that the owner is set to, which is what a bounce uses; null for no chain. */
  readonly used: ChainVersion | null
}

/** Identifies an owner, even after it has been renamed. */
export const keyOf = ({ sessionId, groupId }: Pick<ChainOwner, 'sessionId' | 'groupId'>): string =>
  `${sessionId}/${groupId ?? 'shared'}`

/**
 * The chain that processes a group: its own, or the session's where chains are shared.
 * @param group null in a session without groups
 */
export function chainOf(contents: SessionContents, group: Group | null): ChainInUse {
  const isShared = contents.session.chainSharing === 'shared'
  return chainWith(contents, isShared ? null : group, isShared)
}

/** The chain of an owner, also while the session's other way of sharing is chosen; null for a group that is gone. */
export function chainOfOwner(contents: SessionContents, groupId: number | null): ChainInUse | null {
  const group = contents.groups.find(({ id }) => id === groupId) ?? null
  return groupId !== null && group === null ? null : chainWith(contents, group, groupId === null)
}

function chainWith(
  { session, chainVersions }: SessionContents,
  group: Group | null,
  isShared: boolean,
): ChainInUse {
  const usedId = isShared ? session.sharedChainVersionId : (group?.chainVersionId ?? null)
  return {
    owner: {
      sessionId: session.id,
      groupId: group?.id ?? null,
      name: isShared ? 'The whole session' : (group?.name ?? ''),
    },
    used: chainVersions.find(({ id }) => id === usedId) ?? null,
  }
}

/** The group that the Chain place shows: the selected one, else the first with layers, else the first. */
export const currentGroup = (
  { groups, layers }: SessionContents,
  { groupId }: Pick<Selection, 'groupId'>,
): Group | null =>
  groups.find(({ id }) => id === groupId) ??
  groups.find(({ id }) => layers.some((layer) => layer.groupId === id)) ??
  groups[0] ??
  null
