// Keeps changed drafts in the catalogue, so that a reload or a crash loses none, and notices what other
// windows do to them. A draft that another window has changed is never overwritten without a choice.

import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ChainDraftRecord } from '../../../app/contract/entities.ts'
import { Failure } from '../../../app/contract/failure.ts'
import { stagesOf } from '../../formats/chain/chain-rows.ts'
import { client, on } from '../connection.ts'
import { reportFailure } from '../notices.ts'
import { sessionContentsQuery } from '../queries.ts'
import { queryClient } from '../query-client.ts'
import { readSelection, watchSelection } from '../selection.ts'
import {
  allDrafts,
  type ChainDraft,
  followUsed,
  isChanged,
  isSame,
  openStages,
  readDraft,
  showStored,
  watchDrafts,
} from './chain-draft.ts'
import { type ChainOwner, chainOfOwner, keyOf } from './chain-owner.ts'

/** Delay in ms from an edit to its writing; what a crash may lose. */
const WRITE_AFTER_MS = 250

/** Another window has changed the stored draft; null if it has saved or discarded it. */
export interface Rival {
  readonly record: ChainDraftRecord | null
}

/** How an owner's draft is stored. */
export interface KeptDraft {
  /** Revision of the stored draft that this window has read or written; null for none. */
  readonly known: string | null
  /** ISO time of that revision if it was read; null if this window has written it. */
  readonly readFrom: string | null
  /** Nothing is written until the user has chosen between this and the own draft. */
  readonly rival: Rival | null
}

const NOT_KEPT: KeptDraft = { known: null, readFrom: null, rival: null }

type Kept = Readonly<Record<string, KeptDraft | undefined>>
const store = createStore<Kept>()(() => ({}))
const readKept = (owner: Pick<ChainOwner, 'sessionId' | 'groupId'>): KeptDraft =>
  store.getState()[keyOf(owner)] ?? NOT_KEPT
const setKept = (owner: Pick<ChainOwner, 'sessionId' | 'groupId'>, changes: Partial<KeptDraft>): void =>
  store.setState({ [keyOf(owner)]: { ...readKept(owner), ...changes } })

/** How the owner's draft is stored, for components. */
export const useKeptDraft = (owner: ChainOwner): KeptDraft => useStore(store)[keyOf(owner)] ?? NOT_KEPT

/** Identifies this page among the writers of drafts. */
const WRITER = crypto.randomUUID()

/** Owners with an edit that is not written yet. */
const waiting = new Map<string, ReturnType<typeof setTimeout>>()
/** Writes and reads run one after the other, so that an answer is never older than what is known. */
let queue: Promise<unknown> = Promise.resolve()
const inTurn = (step: () => Promise<void>): Promise<void> => {
  const result = queue.then(step)
  queue = result.catch(() => {})
  return result
}
let hasFailed = false

const contentOf = (draft: ChainDraft): string =>
  JSON.stringify(isChanged(draft) ? [draft.version?.id ?? null, stagesOf(draft.rows)] : null)
/** What was last written or read, by owner. */
const stored = new Map<string, string>()
const NOTHING_STORED = 'null'

const isToBeWritten = (draft: ChainDraft): boolean =>
  (stored.get(keyOf(draft.owner)) ?? NOTHING_STORED) !== contentOf(draft)

async function write(owner: ChainOwner): Promise<void> {
  const draft = readDraft(owner)
  const { known, rival } = readKept(owner)
  if (draft === null || rival !== null || !isToBeWritten(draft)) return
  const content = contentOf(draft)
  const { sessionId, groupId } = owner
  const stages = isChanged(draft) ? [...stagesOf(draft.rows)] : null
  if (stages === null && known === null) {
    stored.set(keyOf(owner), content)
    return
  }
  try {
    const { revision } = await client.keepChainDraft({
      sessionId,
      groupId,
      known,
      baseVersionId: draft.version?.id ?? null,
      stages,
      writer: WRITER,
    })
    stored.set(keyOf(owner), content)
    setKept(owner, { known: revision, readFrom: null })
    hasFailed = false
  } catch (error) {
    if (error instanceof Failure && error.code === 'conflict') return read(sessionId)
    if (!hasFailed) reportFailure('The unsaved chain could not be kept', error)
    hasFailed = true
  }
}

/** Reads the stored drafts of a session and shows those that replace nothing of this window. */
async function read(sessionId: number): Promise<void> {
  const [records, contents] = await Promise.all([
    client.listChainDrafts({ sessionId }),
    queryClient.fetchQuery(sessionContentsQuery(sessionId)),
  ])
  for (const record of records) {
    const chain = chainOfOwner(contents, record.groupId)
    if (chain === null || record.revision === readKept(record).known) continue
    const mine = readDraft(chain.owner)
    if (mine !== null && isChanged(mine) && !isSame(stagesOf(mine.rows), record.stages)) {
      setKept(chain.owner, { rival: { record } })
      continue
    }
    followUsed(chain)
    show(chain.owner, record)
  }
  for (const { owner } of allDrafts().filter((draft) => draft.owner.sessionId === sessionId)) {
    if (!records.some((record) => keyOf(record) === keyOf(owner))) await noticeGone(owner)
  }
}

/** The owner has no stored draft any more, or never had one. */
async function noticeGone(owner: ChainOwner): Promise<void> {
  const { known, rival } = readKept(owner)
  const draft = readDraft(owner)
  if (known === null && rival?.record == null) return
  stored.set(keyOf(owner), NOTHING_STORED)
  const isSaid = known !== null && draft !== null && isChanged(draft)
  setKept(owner, { known: null, readFrom: null, rival: isSaid ? { record: null } : null })
  await write(owner)
}

function show(owner: ChainOwner, record: ChainDraftRecord): void {
  stored.set(keyOf(owner), JSON.stringify([record.base?.id ?? null, record.stages]))
  setKept(owner, { known: record.revision, readFrom: record.changedAt, rival: null })
  showStored(owner, record.stages, record.base)
}

/** Takes the other window's draft, or the saved version if it has none. Undo returns to the own one. */
export function takeRival(owner: ChainOwner): void {
  const { rival } = readKept(owner)
  const draft = readDraft(owner)
  if (rival === null || draft === null) return
  const { record } = rival
  setKept(owner, { known: record?.revision ?? null, readFrom: record?.changedAt ?? null, rival: null })
  if (record === null) discardDraft(owner)
  else openStages(owner, 'show the other window’s draft', record.stages, record.base)
}

/** Keeps the own draft in place of the other window's. */
export function overruleRival(owner: ChainOwner): void {
  const { rival } = readKept(owner)
  if (rival === null) return
  // Makes the own draft differ from what is stored.
  stored.delete(keyOf(owner))
  setKept(owner, { known: rival.record?.revision ?? null, readFrom: null, rival: null })
  void inTurn(() => write(owner))
}

/** Goes back to the version that the draft started from; can be undone. */
export function discardDraft(owner: ChainOwner): void {
  const version = readDraft(owner)?.version ?? null
  openStages(owner, 'discard the draft', version?.stages ?? [], version)
}

/** Whether a changed draft is not stored: its write has failed, or another window's draft is in its way. */
const hasUnkept = (): boolean =>
  allDrafts().some((draft) => isChanged(draft) && (hasFailed || readKept(draft.owner).rival !== null))

function flush(): void {
  for (const draft of allDrafts()) {
    const key = keyOf(draft.owner)
    const timer = waiting.get(key)
    if (timer === undefined) continue
    clearTimeout(timer)
    waiting.delete(key)
    void inTurn(() => write(draft.owner))
  }
}

/** Follows the drafts of the open session for as long as the page lives. */
export function keepDrafts(): void {
  let openId: number | null = null
  const open = (): void => {
    const { sessionId } = readSelection()
    if (sessionId === openId) return
    openId = sessionId
    if (sessionId !== null) look(sessionId)
  }
  const look = (sessionId: number): void => {
    inTurn(() => read(sessionId)).catch((error) => {
      if (sessionId === openId) reportFailure('The unsaved chains could not be read', error)
    })
  }
  watchSelection(open)
  open()
  on('catalogueChanged', ({ subjects }) => {
    if (openId !== null && subjects.includes('drafts')) look(openId)
  })
  watchDrafts(() => {
    for (const draft of allDrafts()) {
      const key = keyOf(draft.owner)
      if (waiting.has(key) || !isToBeWritten(draft)) continue
      // Counts from the first edit, so that a long drag is written on its way.
      const timer = setTimeout(() => {
        waiting.delete(key)
        void inTurn(() => write(draft.owner))
      }, WRITE_AFTER_MS)
      waiting.set(key, timer)
    }
  })
  window.addEventListener('pagehide', flush)
  window.addEventListener('beforeunload', (event) => {
    flush()
    if (hasUnkept()) event.preventDefault()
  })
}
