// The draft that is played in place of the saved chain: that of the current group while the Chain
// place is open, and whether its selected stage is compared with the input of that stage.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ChainStages } from '../../../app/contract/chain-document.ts'
import { stagesOf } from '../../formats/chain/chain-rows.ts'
import { sessionContentsQuery } from '../queries.ts'
import { queryClient } from '../query-client.ts'
import { readSelection, watchSelection } from '../selection.ts'
import { isChanged, readDraft, watchDrafts } from './chain-draft.ts'
import { type ChainInUse, chainOf, currentGroup } from './chain-owner.ts'

const comparing = createStore<{ readonly isOn: boolean }>()(() => ({ isOn: false }))

/** Whether the selected stage is compared: its input plays on the dry side, its output on the processed. */
export const useIsComparing = (): boolean => useStore(comparing).isOn
/** Starts or ends comparing; playback follows through watchHeardDraft. */
export const setComparing = (isOn: boolean): void => comparing.setState({ isOn })

export interface HeardDraft {
  readonly groupId: number | null
  readonly stages: ChainStages
  /** Whether the stages differ from those that the owner is set to. */
  readonly isChanged: boolean
  /** Index of the stage that is compared; null if the whole chain is. */
  readonly comparedStage: number | null
}

/** The chain of the current group; null until the session's contents have been read. */
export function readCurrentChain(): ChainInUse | null {
  const selection = readSelection()
  if (selection.sessionId === null) return null
  const contents = queryClient.getQueryData(sessionContentsQuery(selection.sessionId).queryKey)
  return contents === undefined ? null : chainOf(contents, currentGroup(contents, selection))
}

/** null while the Chain place is not open; the saved chains are played then. */
export function readHeardDraft(): HeardDraft | null {
  const current = readSelection().place === 'chain' ? readCurrentChain() : null
  if (current === null) return null
  const { owner, used } = current
  const draft = readDraft(owner)
  const selected = draft?.rows.findIndex(({ key }) => key === draft.selectedKey) ?? -1
  return {
    groupId: owner.groupId,
    stages: draft === null ? (used?.stages ?? []) : stagesOf(draft.rows),
    isChanged: draft !== null && (isChanged(draft) || (draft.version?.id ?? null) !== draft.usedVersionId),
    comparedStage: comparing.getState().isOn && selected !== -1 ? selected : null,
  }
}

/** Calls the watcher when the result of readHeardDraft may have changed; returns an unsubscribe function. */
export function watchHeardDraft(watcher: () => void): () => void {
  const stops = [watchDrafts(watcher), watchSelection(watcher), comparing.subscribe(watcher)]
  return () => {
    for (const stop of stops) stop()
  }
}
