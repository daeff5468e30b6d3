// Resolves what to play: a stack, group, layer or take from the selection, with the draft of the
// chain being edited in place of the saved one.

import type { SessionContents } from '../../app/contract/entities.ts'
import type { PlaybackSource, PlaybackTarget } from '../../app/contract/playback.ts'
import { readHeardDraft } from '../state/chain/heard-draft.ts'
import type { Selection } from '../state/selection.ts'
import { soloedLayerIds } from '../state/solo.ts'
import { readTried, readTriedStack } from '../state/tried.ts'

export type HeardKind = PlaybackTarget['kind']

/** The selected target of a kind, or the first group; null if there is none or the stack is empty. */
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

/** Whether both play the same material, regardless of settings. */
export const isSameTarget = (a: PlaybackTarget, b: PlaybackTarget): boolean =>
  JSON.stringify(a) === JSON.stringify(b)

/** The target with its unsaved settings: tried stages, a compared stage, or the draft of its chain. */
export function sourceOf(target: PlaybackTarget): PlaybackSource {
  const tried = readTried()
  if (target.kind === 'take' && tried?.takeId === target.takeId) {
    return { target, draft: { groupId: null, stages: tried.stages }, lowerDb: tried.lowerDb }
  }
  const ofStack = readTriedStack()
  if (target.kind === 'stack' && ofStack?.sessionId === target.sessionId)
    return { target, draft: ofStack.draft, tried: ofStack.layers, lowerDb: ofStack.lowerDb ?? 0 }
  const draft = readHeardDraft()
  if (draft === null) return { target, draft: null }
  // A take does not belong to a group; it is played through the current chain.
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

/** The source with the layers that solo lets through. */
export function withSolo(source: PlaybackSource, contents: SessionContents | undefined): PlaybackSource {
  const { target } = source
  if (contents === undefined) return source
  if (target.kind === 'stack' && target.sessionId === contents.session.id)
    return { ...source, solo: soloedLayerIds(contents.layers) }
  if (target.kind === 'group')
    return {
      ...source,
      solo: soloedLayerIds(contents.layers.filter((one) => one.groupId === target.groupId)),
    }
  return source
}

/** Session frame at which the first frame of a target lies: where a layer has the take, 0 for all else. */
export function originOf(target: PlaybackTarget, contents: SessionContents | undefined): number | null {
  if (target.kind !== 'take') return 0
  return contents?.layers.find(({ takeId }) => takeId === target.takeId)?.offsetSamples ?? null
}

/**
 * The frame of `next` that is heard where `before` is at `frame`; null where they have no place in common.
 * A take that is started, not switched to, begins at its start.
 */
export function samePlaceIn(
  next: PlaybackSource,
  before: PlaybackSource,
  frame: number,
  status: 'stopped' | 'opening' | 'playing',
  contents: SessionContents | undefined,
): number | null {
  if (isSameTarget(next.target, before.target)) return frame
  if (next.target.kind === 'take' && status === 'stopped') return null
  const from = originOf(before.target, contents)
  const to = originOf(next.target, contents)
  return from === null || to === null ? null : frame + from - to
}

const KIND_NAMES: Readonly<Record<HeardKind, string>> = {
  stack: 'Stack',
  group: 'Group',
  layer: 'Layer',
  take: 'Take',
}

/** As in 'Group Lead'; the kind alone where its name is not known. */
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
