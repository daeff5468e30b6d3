// The chain on the table: for each group (or for all that share one) the version it came
// from and what has been changed since. Edits go through the window's undo history.

import type { ChainStage, ChainStages } from '../../../app/contract/chain-document.ts'
import type { ChainVersion, SessionContents } from '../../../app/contract/entities.ts'
import {
  type ChainRows,
  replaceStage,
  rowsOf,
  type StageKind,
  stagesOf,
} from '../../formats/chain/chain-rows.ts'
import { STAGE_NAMES } from '../../formats/chain/stage-words.ts'
import { createStore, useStore } from '../store.ts'
import { undoHistory } from '../undo.ts'

/** Whose chain it is: one group's, or with groupId null that of all groups of the session. */
export interface ChainOwner {
  readonly sessionId: number
  readonly groupId: number | null
  readonly name: string
}

export interface ChainDraft {
  readonly owner: ChainOwner
  /** What it came from; null for a chain that has never been saved. */
  readonly version: ChainVersion | null
  /** The version that the owner is set to, which is what a bounce uses. */
  readonly usedVersionId: number | null
  readonly rows: ChainRows
  readonly selectedKey: number | null
}

/** The draft that is on the table. */
export interface TabledDraft extends ChainDraft {
  /** The chosen stage is heard against nothing but itself. */
  readonly isComparing: boolean
}

interface Desk {
  readonly current: string | null
  readonly isComparing: boolean
  readonly drafts: Readonly<Record<string, ChainDraft>>
}

const desk = createStore<Desk>({ current: null, isComparing: false, drafts: {} })

const placeOf = (owner: ChainOwner): string => `${owner.sessionId}/${owner.groupId ?? 'shared'}`

const changeDraft = (place: string, changes: Partial<ChainDraft>): void =>
  desk.set((now) => {
    const draft = now.drafts[place]
    return draft === undefined
      ? now
      : { ...now, drafts: { ...now.drafts, [place]: { ...draft, ...changes } } }
  })

const isSame = (a: ChainStages, b: ChainStages): boolean => JSON.stringify(a) === JSON.stringify(b)

/** Whether there is something to save. */
export const isChanged = ({ version, rows }: ChainDraft): boolean =>
  version === null ? rows.length > 0 : !isSame(stagesOf(rows), version.stages)

export const useChainDraft = (): TabledDraft | null => {
  const { current, drafts, isComparing } = useStore(desk)
  return current === null ? null : { ...drafts[current], isComparing }
}

/** What has been worked on for an owner, on the table or not; null where nobody laid it out yet. */
export const useDraftOf = (owner: ChainOwner | null): ChainDraft | null => {
  const { drafts } = useStore(desk)
  return owner === null ? null : (drafts[placeOf(owner)] ?? null)
}

export const setComparing = (isComparing: boolean): void => desk.set((now) => ({ ...now, isComparing }))

export const hasUnsavedChains = (): boolean => Object.values(desk.get().drafts).some(isChanged)

/** Drafts with changes that a bounce of this session would not hear. */
export const useUnsavedChains = ({ session, groups }: SessionContents): readonly ChainDraft[] => {
  const isShared = session.chainSharing === 'shared'
  return Object.values(useStore(desk).drafts).filter(
    (draft) =>
      isChanged(draft) &&
      draft.owner.sessionId === session.id &&
      (isShared ? draft.owner.groupId === null : groups.some(({ id }) => id === draft.owner.groupId)),
  )
}

export interface HeardDraft {
  readonly groupId: number | null
  readonly stages: ChainStages
  readonly isChanged: boolean
  /** Index of the stage that is compared; null where the whole chain is. */
  readonly comparedStage: number | null
}

/** The chain on the table, for playback; null while the Chain place is not open. */
export function readChainDraft(): HeardDraft | null {
  const { current, drafts, isComparing } = desk.get()
  if (current === null) return null
  const draft = drafts[current]
  const selected = draft.rows.findIndex(({ key }) => key === draft.selectedKey)
  return {
    comparedStage: isComparing && selected !== -1 ? selected : null,
    groupId: draft.owner.groupId,
    stages: stagesOf(draft.rows),
    isChanged: isChanged(draft) || (draft.version?.id ?? null) !== draft.usedVersionId,
  }
}

export const watchChainDraft = desk.subscribe

/** Puts an owner's chain on the table; work in progress stays as it was left. */
export function layOut(owner: ChainOwner, used: ChainVersion | null): void {
  const place = placeOf(owner)
  const before = desk.get().drafts[place]
  const usedVersionId = used?.id ?? null
  // An untouched draft follows what the owner is set to.
  const isStale =
    before === undefined ||
    (!isChanged(before) && before.usedVersionId !== usedVersionId && before.version?.id !== usedVersionId)
  const rows = isStale ? rowsOf(used?.stages ?? []) : before.rows
  const draft: ChainDraft = {
    owner,
    version: isStale ? used : before.version,
    usedVersionId,
    rows,
    selectedKey: isStale ? (rows[0]?.key ?? null) : before.selectedKey,
  }
  desk.set((now) => ({ ...now, current: place, drafts: { ...now.drafts, [place]: draft } }))
}

/** The Chain place is left: the saved chain is what is heard again. */
export const clearTable = (): void => desk.set((now) => ({ ...now, current: null, isComparing: false }))

export const selectStage = (key: number | null): void => {
  const { current } = desk.get()
  if (current !== null) changeDraft(current, { selectedKey: key })
}

/** An owner's draft is now this saved version. */
export const markSaved = (owner: ChainOwner, version: ChainVersion): void =>
  changeDraft(placeOf(owner), { version, usedVersionId: version.id })

/** One undoable change to whatever of the draft an act touches. */
function perform(
  label: string,
  mergeKey: string | undefined,
  change: (draft: ChainDraft) => Partial<ChainDraft>,
): void {
  const place = desk.get().current
  if (place === null) return
  let before: Partial<ChainDraft> | null = null
  let after: Partial<ChainDraft> | null = null
  void undoHistory.perform({
    label,
    ...(mergeKey === undefined ? {} : { mergeKey: `${place}/${mergeKey}` }),
    async redo() {
      const draft = desk.get().drafts[place]
      if (draft === undefined) return
      after ??= change(draft)
      // Only what the act touches is put back: a save in between stays.
      before ??= Object.fromEntries(
        Object.keys(after).map((name) => [name, draft[name as keyof ChainDraft]]),
      ) as Partial<ChainDraft>
      changeDraft(place, after)
    },
    async undo() {
      if (before !== null) changeDraft(place, before)
    },
  })
}

/** Adds, removes, moves: `selectedKey` is what is selected afterwards. */
export const editRows = (
  label: string,
  change: (rows: ChainRows) => ChainRows,
  selectedKey?: (rows: ChainRows, before: ChainRows) => number | null,
): void =>
  perform(label, undefined, (draft) => {
    const rows = change(draft.rows)
    return selectedKey === undefined ? { rows } : { rows, selectedKey: selectedKey(rows, draft.rows) }
  })

/**
 * Changes one stage.
 * @param what the setting, as in 'Threshold'; changes of the same one in one gesture are one step back
 */
export const editStage = <K extends StageKind>(
  row: { key: number; stage: { kind: K } },
  what: string,
  change: (stage: Extract<ChainStage, { kind: K }>) => ChainStage,
): void =>
  perform(`${STAGE_NAMES[row.stage.kind]}: ${what}`, `${row.key}/${what}`, (draft) => ({
    // The key belongs to a stage of this kind for as long as it exists.
    rows: replaceStage(draft.rows, row.key, (stage) => change(stage as Extract<ChainStage, { kind: K }>)),
  }))

/** Another version, a file, or the usual order takes the place of what is on the table. */
export const openStages = (label: string, stages: ChainStages, version: ChainVersion | null): void =>
  perform(label, undefined, () => {
    const rows = rowsOf(stages)
    return { rows, version, selectedKey: rows[0]?.key ?? null }
  })
