// What a history is made of, as stored: rows that other queries do not give as they are hashed or exchanged.

import type { Database } from 'better-sqlite3'

/** A chain version as it is hashed. */
export interface StoredVersion {
  readonly id: number
  readonly node: string
  readonly number: number
  readonly stages: string
  readonly note: string
  readonly parents: string
  readonly machine: string
  readonly createdAt: string
}

/** A line of the ledger about an artist, a voice, a song or a session. */
export interface StoredChange {
  readonly artistId: number
  readonly kind: 'renamed' | 'merged' | 'removed'
  readonly entity: 'artist' | 'voice' | 'song' | 'session'
  readonly artistName: string
  readonly name: string
  readonly otherName: string
  readonly at: string
}

export type HistoryRowQueries = ReturnType<typeof historyRowQueries>

export function historyRowQueries(db: Database) {
  const ids = <P extends unknown[]>(sql: string) => db.prepare<P, number>(sql).pluck()
  const sessionsOfVoice = ids<[{ voiceId: number }]>(
    `SELECT session_id FROM session_takes JOIN takes ON takes.id = take_id WHERE voice_id = @voiceId
     UNION SELECT session_id FROM groups JOIN chain_versions ON chain_versions.id = chain_version_id
       JOIN chains ON chains.id = chain_id WHERE voice_id = @voiceId
     UNION SELECT sessions.id FROM sessions JOIN chain_versions ON chain_versions.id = shared_chain_version_id
       JOIN chains ON chains.id = chain_id WHERE voice_id = @voiceId
     ORDER BY 1`,
  )
  const takesOfVoice = ids<[number]>('SELECT id FROM takes WHERE voice_id = ? ORDER BY id')
  const versions = db.prepare<[number], StoredVersion>(
    `SELECT id, node, number, stages, note, parents, machine, created_at AS createdAt
     FROM chain_versions WHERE chain_id = ? ORDER BY number, id`,
  )
  const chainOfVersion = ids<[number]>('SELECT chain_id FROM chain_versions WHERE id = ?')
  const versionOfNode = ids<[string]>('SELECT id FROM chain_versions WHERE node = ?')
  const nodeOfVersion = db.prepare<[number], string>('SELECT node FROM chain_versions WHERE id = ?').pluck()
  const madeAt = (table: string) =>
    db.prepare<[number], string>(`SELECT created_at FROM ${table} WHERE id = ?`).pluck()
  const makings = {
    artists: madeAt('artists'),
    voices: madeAt('voices'),
    mics: madeAt('mics'),
    curves: madeAt('curves'),
    songs: madeAt('songs'),
    sessions: madeAt('sessions'),
    chains: madeAt('chains'),
  }
  const changes = db.prepare<[number], StoredChange>(
    `SELECT artist_id AS artistId, kind, entity, artist_name AS artistName, name, other_name AS otherName,
       created_at AS at
     FROM entity_changes WHERE artist_id = ? ORDER BY created_at, id`,
  )
  const addChange = db.prepare<[StoredChange]>(
    `INSERT INTO entity_changes (kind, entity, artist_id, artist_name, name, other_name, before, created_at)
       VALUES (@kind, @entity, @artistId, @artistName, @name, @otherName, '{"removed":[],"changed":[]}', @at)`,
  )

  return {
    /** Sessions that have takes of a voice, or are set to one of its chains. */
    sessionsOfVoice: (voiceId: number): number[] => sessionsOfVoice.all({ voiceId }),
    takesOfVoice: (voiceId: number): number[] => takesOfVoice.all(voiceId),
    /** Parents before children. */
    versionsOfChain: (chainId: number): StoredVersion[] => versions.all(chainId),
    chainOfVersion: (versionId: number): number | undefined => chainOfVersion.get(versionId),
    versionOfNode: (node: string): number | undefined => versionOfNode.get(node),
    nodeOfVersion: (versionId: number): string | undefined => nodeOfVersion.get(versionId),
    madeAt: (table: keyof typeof makings, id: number): string => makings[table].get(id) ?? '',
    changesOfArtist: (artistId: number): StoredChange[] => changes.all(artistId),
    /** A line that another computer wrote; reverting it changes nothing else here. */
    addChange(change: StoredChange): void {
      addChange.run(change)
    },
  }
}
