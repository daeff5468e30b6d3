// Chain drafts, one for each owner: the version it started from and the changes made
// since. Every edit names its owner and goes through the window's undo history.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ChainStage, ChainStages } from '../../../app/contract/chain-document.ts'
import type { ChainVersion, SessionContents } from '../../../app/contract/entities.ts'
import type { StageKind } from '../../../app/words/chain/setting-names.ts'
import { STAGE_NAMES } from '../../../app/words/chain/stage-words.ts'
import {
  type ChainRows,
  replaceStage,
  rowsInPlaceOf,
  rowsOf,
  stagesOf,
} from '../../formats/chain/chain-rows.ts'
import { undoHistory } from '../undo.ts'
import { type ChainInUse, type ChainOwner, keyOf } from './chain-owner.ts'

/** A chain being edited for one owner. */
export interface ChainDraft {
  readonly owner: ChainOwner
  /** The version it started from; null for a chain that has never been saved. */
  readonly version: ChainVersion | null
  /** The version that the owner is set to, which is what a bounce uses. */
  readonly usedVersionId: number | null
  readonly rows: ChainRows
  /** Key of the selected row. */
  readonly selectedKey: number | null
}

type Drafts = Readonly<Record<string, ChainDraft | undefined>>

const store = createStore<Drafts>()(() => ({}))

/** The drafts of all owners that have been opened, changed or not. */
export const allDrafts = (): ChainDraft[] =>
  Object.values(store.getState()).filter((draft) => draft !== undefined)

function changeDraft(owner: ChainOwner, changes: Partial<ChainDraft>): void {
  const key = keyOf(owner)
  const draft = store.getState()[key]
  if (draft !== undefined) store.setState({ [key]: { ...draft, ...changes } })
}

/** Whether both have the same stages with the same settings. */
export const isSame = (a: ChainStages, b: ChainStages): boolean => JSON.stringify(a) === JSON.stringify(b)

/** Whether there is something to save. */
export const isChanged = ({ version, rows }: ChainDraft): boolean =>
  version === null ? rows.length > 0 : !isSame(stagesOf(rows), version.stages)

/** null until followUsed has been called for the owner. */
export const readDraft = (owner: ChainOwner): ChainDraft | null => store.getState()[keyOf(owner)] ?? null

/** As readDraft, for components. */
export const useDraftOf = (owner: ChainOwner | null): ChainDraft | null => {
  const drafts = useStore(store)
  return owner === null ? null : (drafts[keyOf(owner)] ?? null)
}

/** Calls the watcher after a change to any draft; returns a function that unsubscribes. */
export const watchDrafts = store.subscribe

/** Changed drafts of the session, which a bounce would not use. */
export const useUnsavedChains = ({ session, groups }: SessionContents): readonly ChainDraft[] => {
  useStore(store)
  const isShared = session.chainSharing === 'shared'
  return allDrafts().filter(
    (draft) =>
      isChanged(draft) &&
      draft.owner.sessionId === session.id &&
      (isShared ? draft.owner.groupId === null : groups.some(({ id }) => id === draft.owner.groupId)),
  )
}

/**
 * Starts an owner's draft from the version in use, or updates it: an unchanged draft switches to
 * the owner's new version, a changed one is kept. Must be called before the first edit.
 */
export function followUsed({ owner, used }: ChainInUse): void {
  const before = readDraft(owner)
  const usedVersionId = used?.id ?? null
  const isStale =
    before === null ||
    (!isChanged(before) && before.usedVersionId !== usedVersionId && before.version?.id !== usedVersionId)
  // Another window may have saved the same settings.
  const isSavedElsewhere = !isStale && used !== null && isSame(stagesOf(before.rows), used.stages)
  const rows = isStale ? rowsOf(used?.stages ?? []) : before.rows
  const draft: ChainDraft = {
    owner,
    version: isStale || isSavedElsewhere ? used : before.version,
    usedVersionId,
    rows,
    selectedKey: isStale ? (rows[0]?.key ?? null) : before.selectedKey,
  }
  store.setState({ [keyOf(owner)]: draft })
}

/** Shows a stored draft in place of an unchanged one. Not an act of the user, so it cannot be undone. */
export function showStored(owner: ChainOwner, stages: ChainStages, version: ChainVersion | null): void {
  const before = readDraft(owner)
  if (before !== null) changeDraft(owner, replaced(before, stages, version))
}

/** Other stages in a draft; the selected stage stays selected where the kinds are the same. */
function replaced(
  { rows: before, selectedKey }: ChainDraft,
  stages: ChainStages,
  version: ChainVersion | null,
): Pick<ChainDraft, 'rows' | 'version' | 'selectedKey'> {
  const rows = rowsInPlaceOf(before, stages)
  const isKept = rows.some(({ key }) => key === selectedKey)
  return { rows, version, selectedKey: isKept ? selectedKey : (rows[0]?.key ?? null) }
}

/** @param key of a row of the owner's draft; null for none */
export const selectStage = (owner: ChainOwner, key: number | null): void =>
  changeDraft(owner, { selectedKey: key })

/** Records that the draft was saved as this version and that the owner now uses it. */
export const markSaved = (owner: ChainOwner, version: ChainVersion): void =>
  changeDraft(owner, { version, usedVersionId: version.id })

/** Makes an undoable change to the fields of the draft that `change` returns. */
function perform(
  owner: ChainOwner,
  label: string,
  mergeKey: string | undefined,
  change: (draft: ChainDraft) => Partial<ChainDraft>,
): void {
  let before: Partial<ChainDraft> | null = null
  let after: Partial<ChainDraft> | null = null
  void undoHistory.perform({
    label,
    ...(mergeKey === undefined ? {} : { mergeKey: `${keyOf(owner)}/${mergeKey}` }),
    async redo() {
      const draft = readDraft(owner)
      if (draft === null) return
      after ??= change(draft)
      // Undo restores only what the act changed, so that it does not revert a save made in between.
      before ??= Object.fromEntries(
        Object.keys(after).map((name) => [name, draft[name as keyof ChainDraft]]),
      ) as Partial<ChainDraft>
      changeDraft(owner, after)
    },
    async undo() {
      if (before !== null) changeDraft(owner, before)
    },
  })
}

/**
 * Adds, removes or moves stages of an owner's draft; can be undone.
 * @param label what was done, as in 'move Tone'
 * @param selectedKey the row to select afterwards; by default the selection stays
 */
export const editRows = (
  owner: ChainOwner,
  label: string,
  change: (rows: ChainRows) => ChainRows,
  selectedKey?: (rows: ChainRows, before: ChainRows) => number | null,
): void =>
  perform(owner, label, undefined, (draft) => {
    const rows = change(draft.rows)
    return selectedKey === undefined ? { rows } : { rows, selectedKey: selectedKey(rows, draft.rows) }
  })

/**
 * Changes one stage of an owner's draft; can be undone.
 * @param what the setting, as in 'threshold'; changes to the same one within a gesture are one step
 */
export const editStage = <K extends StageKind>(
  owner: ChainOwner,
  row: { key: number; stage: { kind: K } },
  what: string,
  change: (stage: Extract<ChainStage, { kind: K }>) => ChainStage,
): void =>
  perform(owner, `${STAGE_NAMES[row.stage.kind]}: ${what}`, `${row.key}/${what}`, (draft) => ({
    // A row keeps its kind of stage for as long as it exists.
    rows: replaceStage(draft.rows, row.key, (stage) => change(stage as Extract<ChainStage, { kind: K }>)),
  }))

/** Replaces all stages of an owner's draft with those of a version, a file or the usual order; undoable. */
export const openStages = (
  owner: ChainOwner,
  label: string,
  stages: ChainStages,
  version: ChainVersion | null,
): void => perform(owner, label, undefined, (draft) => replaced(draft, stages, version))
