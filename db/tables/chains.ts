// Chains of a voice and their versions. A version is written once; triggers refuse to change or remove it.

import type { Database } from 'better-sqlite3'
import { ChainStages } from '../../app/contract/chain-document.ts'
import type { Chain, ChainVersion, SessionChain } from '../../app/contract/entities.ts'
import { versionHash, versionNode } from '../../app/history/version-hash.ts'
import { found } from './found.ts'
import { insertedId } from './inserted-id.ts'
import { readStored } from './stored-json.ts'

export type NewChain = Omit<Chain, 'id'>
export type NewChainVersion = Pick<ChainVersion, 'chainId' | 'stages' | 'sha256' | 'note'> & {
  /** Ids of the versions that it was made from, of its own chain; the newest one if omitted. */
  readonly parentIds?: readonly number[] | undefined
}
/** A version of another computer, whose node was made there. */
export type ForeignVersion = Pick<
  ChainVersion,
  'chainId' | 'number' | 'sha256' | 'note' | 'createdAt' | 'node'
> & {
  /** As hashed, not as read. */
  readonly stages: unknown
  readonly parents: readonly string[]
  readonly machine: string
}
export type ChainQueries = ReturnType<typeof chainQueries>

type Row = Omit<ChainVersion, 'stages' | 'parents' | 'sharesNumber'> & {
  stages: string
  parents: string
  sharesNumber: 0 | 1
}

type NewRow = Omit<ForeignVersion, 'number' | 'stages' | 'parents'> & {
  /** null for the next of the chain. */
  readonly number: number | null
  readonly stages: string
  readonly parents: string
}

const SELECT = 'SELECT id, voice_id AS voiceId, name FROM chains'
const SELECT_VERSION = `
  SELECT chain_versions.id, chain_id AS chainId, voice_id AS voiceId, chains.name AS chainName, number,
    stages, sha256, note, chain_versions.created_at AS createdAt, node, parents, machines.name AS machineName,
    EXISTS (SELECT 1 FROM chain_versions AS twin WHERE twin.chain_id = chain_versions.chain_id
      AND twin.number = chain_versions.number AND twin.id <> chain_versions.id) AS sharesNumber
  FROM chain_versions JOIN chains ON chains.id = chain_versions.chain_id
  JOIN machines ON machines.uuid = machine`

const versionOf = (row: Row): ChainVersion => ({
  ...row,
  stages: readStored(ChainStages, row.stages, `version ${row.number} of the chain "${row.chainName}"`),
  parents: JSON.parse(row.parents) as string[],
  sharesNumber: row.sharesNumber === 1,
})

export function chainQueries(db: Database) {
  const all = db.prepare<[], Chain>(`${SELECT} ORDER BY id DESC`)
  const ofVoice = db.prepare<[number], Chain>(`${SELECT} WHERE voice_id = ? ORDER BY id DESC`)
  const one = db.prepare<[number], Chain>(`${SELECT} WHERE id = ?`)
  const add = db.prepare<[NewChain & { at: string }]>(
    'INSERT INTO chains (uuid, voice_id, name, created_at) VALUES (uuid7(@at), @voiceId, @name, @at)',
  )
  const change = db.prepare<[{ id: number; name: string }]>('UPDATE chains SET name = @name WHERE id = @id')
  const ofChain = db.prepare<[number], Row>(
    `${SELECT_VERSION} WHERE chain_id = ? ORDER BY number DESC, chain_versions.id DESC`,
  )
  const oneVersion = db.prepare<[number], Row>(`${SELECT_VERSION} WHERE chain_versions.id = ?`)
  const latest = db.prepare<[number], Row>(
    `${SELECT_VERSION} WHERE chain_versions.id = (
       SELECT saved.id FROM chains JOIN chain_versions AS saved ON chain_id = chains.id
       WHERE voice_id = ? AND NOT EXISTS (
         SELECT 1 FROM chain_versions AS next, json_each(next.parents)
         WHERE next.chain_id = saved.chain_id AND next.number > saved.number AND value = saved.node)
       ORDER BY saved.created_at DESC, saved.id DESC LIMIT 1
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
  const addVersion = db.prepare<[NewRow]>(
    `INSERT INTO chain_versions (chain_id, number, stages, sha256, note, created_at, parents, machine, node)
       SELECT @chainId, coalesce(@number, max(number) + 1, 1), @stages, @sha256, @note, @createdAt, @parents,
         @machine, @node
       FROM chain_versions WHERE chain_id = @chainId`,
  )
  const uuid = db.prepare<[number], string>('SELECT uuid FROM chains WHERE id = ?').pluck()
  const thisMachine = db
    .prepare<[], string>('SELECT uuid FROM machines WHERE name = computer() AND writes_here = 1')
    .pluck()
  const newestId = db
    .prepare<[number], number>(
      'SELECT id FROM chain_versions WHERE chain_id = ? ORDER BY number DESC, id DESC LIMIT 1',
    )
    .pluck()
  const nodeOf = db
    .prepare<[number, number], string>('SELECT node FROM chain_versions WHERE id = ? AND chain_id = ?')
    .pluck()

  const get = (id: number): Chain => found(one.get(id), 'chain', id)
  const version = (id: number): ChainVersion => versionOf(found(oneVersion.get(id), 'chain version', id))
  const insertVersion = db.transaction((fields: NewChainVersion, at: string): ChainVersion => {
    const { chainId, stages, sha256, note } = fields
    get(chainId)
    const newest = newestId.get(chainId)
    const parents = (fields.parentIds ?? (newest === undefined ? [] : [newest])).map((id) =>
      found(nodeOf.get(id, chainId), 'chain version', id),
    )
    const machine = thisMachine.get()!
    const node = versionHash(
      versionNode({ chain: uuid.get(chainId)!, parents, stages, note, machine, createdAt: at }),
    )
    return version(
      insertedId(addVersion, {
        ...{ chainId, number: null, sha256, note, machine, node, createdAt: at },
        stages: JSON.stringify(stages),
        parents: JSON.stringify(parents),
      }),
    )
  })

  return {
    /** Newest first. */
    list: (voiceId?: number): Chain[] => (voiceId === undefined ? all.all() : ofVoice.all(voiceId)),
    get,
    insert: (fields: NewChain, at: string): Chain => get(insertedId(add, { ...fields, at })),
    rename(id: number, name: string): void {
      change.run({ id, name })
    },
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
    /** Inserts a version that another computer made, whose hash was checked. @returns its id */
    insertForeign: ({ stages, parents, ...fields }: ForeignVersion): number =>
      insertedId(addVersion, {
        ...fields,
        stages: JSON.stringify(stages),
        parents: JSON.stringify(parents),
      }),
  }
}
