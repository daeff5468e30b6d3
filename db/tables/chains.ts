// Chains of a voice and their versions. A version is written once; triggers refuse to change or remove it.

import type { Database } from 'better-sqlite3'
import { ChainStages } from '../../app/contract/chain-document.ts'
import type { Chain, ChainVersion, SessionChain } from '../../app/contract/entities.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'
import { readStored } from './stored-json.ts'

export type NewChain = Omit<Chain, 'id'>
export type NewChainVersion = Pick<ChainVersion, 'chainId' | 'stages' | 'sha256' | 'note'>
export type ChainQueries = ReturnType<typeof chainQueries>

type Row = Omit<ChainVersion, 'stages'> & { stages: string }

const SELECT = 'SELECT id, voice_id AS voiceId, name FROM chains'
const SELECT_VERSION = `
  SELECT chain_versions.id, chain_id AS chainId, voice_id AS voiceId, chains.name AS chainName, number,
    stages, sha256, note, chain_versions.created_at AS createdAt
  FROM chain_versions JOIN chains ON chains.id = chain_versions.chain_id`

const versionOf = (row: Row): ChainVersion => ({
  ...row,
  stages: readStored(ChainStages, row.stages, `version ${row.number} of the chain "${row.chainName}"`),
})

export function chainQueries(db: Database) {
  const all = db.prepare<[], Chain>(`${SELECT} ORDER BY id DESC`)
  const ofVoice = db.prepare<[number], Chain>(`${SELECT} WHERE voice_id = ? ORDER BY id DESC`)
  const one = db.prepare<[number], Chain>(`${SELECT} WHERE id = ?`)
  const add = db.prepare<[NewChain & { at: string }]>(
    'INSERT INTO chains (voice_id, name, created_at) VALUES (@voiceId, @name, @at)',
  )
  const ofChain = db.prepare<[number], Row>(`${SELECT_VERSION} WHERE chain_id = ? ORDER BY number DESC`)
  const oneVersion = db.prepare<[number], Row>(`${SELECT_VERSION} WHERE chain_versions.id = ?`)
  const latest = db.prepare<[number], Row>(
    `${SELECT_VERSION} WHERE chain_versions.id = (
       SELECT max(chain_versions.id) FROM chains JOIN chain_versions ON chain_id = chains.id
       WHERE voice_id = ?
     )`,
  )
  const used = db.prepare<[], SessionChain>(
    `SELECT DISTINCT session_id AS sessionId, chain_version_id AS chainVersionId, chains.name AS chainName, number
     FROM (
       SELECT session_id, chain_version_id FROM groups JOIN sessions ON sessions.id = session_id
       WHERE chain_version_id IS NOT NULL AND chain_sharing = 'own'
       UNION ALL SELECT id, shared_chain_version_id FROM sessions
       WHERE shared_chain_version_id IS NOT NULL AND chain_sharing = 'shared')
     JOIN chain_versions ON chain_versions.id = chain_version_id JOIN chains ON chains.id = chain_id
     ORDER BY session_id, chains.name, number`,
  )
  // The INSERT itself chooses the number, so concurrent saves cannot get the same.
  const addVersion = db.prepare<[Omit<NewChainVersion, 'stages'> & { stages: string; at: string }]>(
    `INSERT INTO chain_versions (chain_id, number, stages, sha256, note, created_at)
       SELECT @chainId, coalesce(max(number), 0) + 1, @stages, @sha256, @note, @at
       FROM chain_versions WHERE chain_id = @chainId`,
  )

  const get = (id: number): Chain => found(one.get(id), 'chain', id)
  const version = (id: number): ChainVersion => versionOf(found(oneVersion.get(id), 'chain version', id))
  const insertVersion = db.transaction((fields: NewChainVersion, at: string): ChainVersion => {
    get(fields.chainId)
    return version(insertedId(addVersion, { ...fields, stages: JSON.stringify(fields.stages), at }))
  })

  return {
    /** Newest first. */
    list: (voiceId?: number): Chain[] => (voiceId === undefined ? all.all() : ofVoice.all(voiceId)),
    get,
    insert: (fields: NewChain, at: string): Chain => get(insertedId(add, { ...fields, at })),
    /** Newest first. */
    versions: (chainId: number): ChainVersion[] => ofChain.all(chainId).map(versionOf),
    version,
    /** The version saved last for the voice, in any of its chains. */
    latestOfVoice(voiceId: number): ChainVersion | undefined {
      const row = latest.get(voiceId)
      return row && versionOf(row)
    },
    /** Which chain versions the sessions are set to; each once per session. */
    listUsed: (): SessionChain[] => used.all(),
    /** Inserts a version with the next number of its chain. */
    insertVersion: (fields: NewChainVersion, at: string): ChainVersion => insertVersion.immediate(fields, at),
  }
}
