// Drafts of chains: unsaved stages of a group, or of a session whose groups share a chain.

import type { Database } from 'better-sqlite3'
import { ChainStages } from '../../app/contract/chain-document.ts'
import type { ChainDraftRecord } from '../../app/contract/entities.ts'
import { readStored } from './stored-json.ts'

type Owner = Pick<ChainDraftRecord, 'sessionId' | 'groupId'>
type StoredChainDraft = Omit<ChainDraftRecord, 'base'> & { readonly baseVersionId: number | null }
export type ChainDraftQueries = ReturnType<typeof chainDraftQueries>

type Row = Omit<StoredChainDraft, 'groupId' | 'stages'> & { groupId: number; stages: string }

/** In the column `group_id`: the chain that all groups share. */
const SHARED = 0

const draftOf = ({ groupId, stages, ...row }: Row): StoredChainDraft => ({
  ...row,
  groupId: groupId === SHARED ? null : groupId,
  stages: readStored(ChainStages, stages, `a chain's draft in session ${row.sessionId}`),
})

export function chainDraftQueries(db: Database) {
  const ofSession = db.prepare<[number], Row>(
    `SELECT session_id AS sessionId, group_id AS groupId, base_version_id AS baseVersionId, stages, writer,
       revision, changed_at AS changedAt
     FROM chain_drafts WHERE session_id = ? ORDER BY group_id`,
  )
  const revision = db
    .prepare<[number, number], string>(
      'SELECT revision FROM chain_drafts WHERE session_id = ? AND group_id = ?',
    )
    .pluck()
  const write = db.prepare<[Row]>(
    `INSERT INTO chain_drafts (session_id, group_id, base_version_id, stages, writer, revision, changed_at)
       VALUES (@sessionId, @groupId, @baseVersionId, @stages, @writer, @revision, @changedAt)
     ON CONFLICT (session_id, group_id) DO UPDATE SET base_version_id = excluded.base_version_id,
       stages = excluded.stages, writer = excluded.writer, revision = excluded.revision,
       changed_at = excluded.changed_at`,
  )
  const drop = db.prepare<[number, number]>('DELETE FROM chain_drafts WHERE session_id = ? AND group_id = ?')

  return {
    /** Also those of removed groups. */
    listOfSession: (sessionId: number): StoredChainDraft[] => ofSession.all(sessionId).map(draftOf),
    /** null if the owner has no draft. */
    revisionOf: ({ sessionId, groupId }: Owner): string | null =>
      revision.get(sessionId, groupId ?? SHARED) ?? null,
    /** Writes the owner's draft in place of the one before. */
    put(draft: StoredChainDraft): void {
      write.run({ ...draft, groupId: draft.groupId ?? SHARED, stages: JSON.stringify(draft.stages) })
    },
    /** Removes the owner's draft, if there is one. */
    remove({ sessionId, groupId }: Owner): void {
      drop.run(sessionId, groupId ?? SHARED)
    },
  }
}
