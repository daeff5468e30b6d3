// What is heard when play is pressed: a kind of thing, which one the selection says, and
// the stages that are being worked on in place of the saved ones.

import type { SessionContents } from '../../app/contract/entities.ts'
import type { PlaybackSource, PlaybackTarget } from '../../app/contract/playback.ts'
import { readHeardDraft } from '../state/chain/heard-draft.ts'
import type { Selection } from '../state/selection.ts'
import { readTried } from '../state/tried.ts'

export type HeardKind = PlaybackTarget['kind']

/** The target of a kind under the present selection; null where nothing of that kind is chosen, or nothing is stacked. */
export function targetOf(
  kind: HeardKind,
  selection: Selection,
  contents: SessionContents | undefined,
): PlaybackTarget | null {
  if (contents === undefined) return null
  const { session } = contents
  if (kind === 'stack') return contents.layers.length === 0 ? null : { kind, sessionId: session.id }
  if (kind === 'group') {
    const groupId = selection.groupId ?? contents.groups[0]?.id
    return groupId === undefined ? null : { kind, groupId }
  }
  if (kind === 'layer') return selection.layerId === null ? null : { kind, layerId: selection.layerId }
  return selection.takeId === null
    ? null
    : { kind, takeId: selection.takeId, sampleRateHz: session.sampleRateHz }
}

export const isSameTarget = (a: PlaybackTarget, b: PlaybackTarget): boolean =>
  JSON.stringify(a) === JSON.stringify(b)

/** A target as it is heard now, with the draft of the chain where one is being worked on. */
export function sourceOf(target: PlaybackTarget): PlaybackSource {
  const tried = readTried()
  if (target.kind === 'take' && tried?.takeId === target.takeId) {
    return { target, draft: { groupId: null, stages: tried.stages } }
  }
  const draft = readHeardDraft()
  if (draft === null) return { target, draft: null }
  // A take by itself belongs to no group; it is heard through the chain on the table.
  if (target.kind === 'take') {
    const { stages, comparedStage } = draft
    return {
      target,
      draft: { groupId: null, stages },
      compare: comparedStage === null ? null : { fromStage: comparedStage, toStage: comparedStage + 1 },
    }
  }
  return draft.isChanged
    ? { target, draft: { groupId: draft.groupId, stages: draft.stages } }
    : { target, draft: null }
}

const KIND_NAMES: Readonly<Record<HeardKind, string>> = {
  stack: 'Stack',
  group: 'Group',
  layer: 'Layer',
  take: 'Take',
}

/** 'Group Lead', 'Take verse 2'; the kind alone where its name is not known here. */
export function nameOfTarget(target: PlaybackTarget, contents: SessionContents | undefined): string {
  const name =
    target.kind === 'group'
      ? contents?.groups.find(({ id }) => id === target.groupId)?.name
      : target.kind === 'layer'
        ? contents?.layers.find(({ id }) => id === target.layerId)?.name
        : target.kind === 'take'
          ? contents?.takes.find(({ id }) => id === target.takeId)?.name
          : undefined
  return name === undefined ? KIND_NAMES[target.kind] : `${KIND_NAMES[target.kind]} ${name}`
}
