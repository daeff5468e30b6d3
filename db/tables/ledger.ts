// The ledger: the history, read from rows that the catalogue has anyway. Only renaming, merging and removing
// store a row of their own (entity-changes.ts), and merging a history of another computer.

import type { Database } from 'better-sqlite3'
import type { LedgerEntry } from '../../app/contract/entities.ts'
import { TAKE_ARTIST_NAME, TAKE_OWNER_JOINS } from './take-owner.ts'

export type LedgerRequest = { readonly artistId?: number | undefined; readonly limit: number }
export type LedgerQueries = ReturnType<typeof ledgerQueries>

// For the ledger of all artists, each kind selects its newest `@limit` entries through its own index before
// the merge, so that the cost depends on the limit and not on the size of the catalogue.

const firstVoice = (artistId: string): string => `(SELECT min(id) FROM voices WHERE artist_id = ${artistId})`

const TAKES = `
  SELECT takes.imported_at AS at, 'take-imported' AS kind, takes.id AS id,
    ${TAKE_ARTIST_NAME} AS artistName, sessions.id AS sessionId,
    json_object('takeId', takes.id, 'takeName', takes.name, 'sampleRateHz', takes.sample_rate_hz, 'channels', channels,
      'frames', frames, 'micName', mics.name) AS detail
  FROM takes${TAKE_OWNER_JOINS}`

const SESSIONS = `
  SELECT sessions.created_at AS at, 'session-created' AS kind, sessions.id AS id,
    artists.name AS artistName, sessions.id AS sessionId,
    json_object('songTitle', songs.title, 'date', date, 'sampleRateHz', sample_rate_hz) AS detail
  FROM sessions JOIN songs ON songs.id = sessions.song_id JOIN artists ON artists.id = songs.artist_id`

const CHAIN_VERSIONS = `
  SELECT chain_versions.created_at AS at, 'chain-version-saved' AS kind, chain_versions.id AS id,
    artists.name AS artistName,
    (SELECT min(id) FROM (
       SELECT session_id AS id FROM groups WHERE chain_version_id = chain_versions.id
       UNION ALL SELECT id FROM sessions WHERE shared_chain_version_id = chain_versions.id)) AS sessionId,
    json_object('chainName', chains.name, 'version', number,
      'toldApartBy', (SELECT substr(chain_versions.node, 1, 4) FROM chain_versions AS twin
        WHERE twin.chain_id = chain_versions.chain_id AND twin.number = chain_versions.number
          AND twin.id <> chain_versions.id LIMIT 1),
      'note', chain_versions.note,
      'chainVersionId', chain_versions.id, 'chainId', chain_id) AS detail
  FROM chain_versions JOIN chains ON chains.id = chain_versions.chain_id
  JOIN voices ON voices.id = chains.voice_id JOIN artists ON artists.id = voices.artist_id`

const BOUNCES = `
  SELECT bounces.created_at AS at, 'bounced' AS kind, bounces.id AS id,
    artists.name AS artistName, session_id AS sessionId,
    json_object('bounceId', bounces.id, 'songTitle', songs.title, 'part', part, 'stems', stems, 'manifestPath', manifest_path) AS detail
  FROM bounces JOIN sessions ON sessions.id = bounces.session_id
  JOIN songs ON songs.id = sessions.song_id JOIN artists ON artists.id = songs.artist_id`

const DELIVERIES = `
  SELECT deliveries.created_at AS at, 'delivered' AS kind, deliveries.id AS id,
    artists.name AS artistName, session_id AS sessionId,
    json_object('songTitle', songs.title, 'number', number, 'files', files, 'folder', folder,
      'changes', json(changes)) AS detail
  FROM deliveries JOIN sessions ON sessions.id = deliveries.session_id
  JOIN songs ON songs.id = sessions.song_id JOIN artists ON artists.id = songs.artist_id`

const ARTISTS = `
  SELECT artists.created_at AS at, 'artist-created' AS kind, artists.id AS id,
    artists.name AS artistName, NULL AS sessionId,
    json_object('voiceId', ${firstVoice('artists.id')}) AS detail
  FROM artists`

const VOICES = `
  SELECT voices.created_at AS at, 'voice-created' AS kind, voices.id AS id,
    artists.name AS artistName, NULL AS sessionId,
    json_object('voiceId', voices.id, 'voiceName', voices.name) AS detail
  FROM voices JOIN artists ON artists.id = voices.artist_id`

const SONGS = `
  SELECT songs.created_at AS at, 'song-created' AS kind, songs.id AS id,
    artists.name AS artistName, NULL AS sessionId,
    json_object('songTitle', songs.title, 'newestSessionId',
      (SELECT max(id) FROM sessions WHERE song_id = songs.id)) AS detail
  FROM songs JOIN artists ON artists.id = songs.artist_id`

const ENTITY_CHANGES = `
  SELECT entity_changes.created_at AS at, 'entity-changed' AS kind, entity_changes.id AS id,
    artist_name AS artistName, NULL AS sessionId,
    json_object('voiceId', ${firstVoice('entity_changes.artist_id')}, 'change', entity_changes.kind, 'entity', entity, 'name', name, 'otherName', other_name) AS detail
  FROM entity_changes`

const HISTORY_IMPORTS = `
  SELECT history_imports.created_at AS at, 'history-merged' AS kind, history_imports.id AS id,
    artist_name AS artistName, NULL AS sessionId,
    json_object('voiceId', coalesce(
        (SELECT min(id) FROM voices WHERE artist_id = history_imports.artist_id AND voices.name = history_imports.name),
        ${firstVoice('history_imports.artist_id')}),
      'name', name, 'added', added, 'conflicts', json(conflicts)) AS detail
  FROM history_imports`

const TAKE_CHECKS = `
  SELECT take_checks.checked_at AS at, 'take-checked' AS kind, take_checks.id AS id,
    ${TAKE_ARTIST_NAME} AS artistName, sessions.id AS sessionId,
    json_object('takeName', takes.name, 'takeId', takes.id, 'result', take_checks.result,
      'path', takes.path) AS detail
  FROM take_checks JOIN takes ON takes.id = take_checks.take_id${TAKE_OWNER_JOINS}`

const ARCHIVES = `
  SELECT archives.created_at AS at, act AS kind, archives.id AS id, artist_name AS artistName,
    coalesce((SELECT id FROM sessions WHERE uuid = session_uuid),
      (SELECT row_id FROM other_identities
       WHERE uuid = session_uuid AND of_table = 'sessions' AND standing = 'joined')) AS sessionId,
    json_object('songTitle', song_title, 'takes', takes, 'path', path) AS detail
  FROM archives`

const newest = (table: string, at: string): string =>
  `WHERE ${table}.id IN (SELECT id FROM ${table} ORDER BY ${at} DESC, id DESC LIMIT @limit)`

const OF_ALL = [
  `${TAKES} ${newest('takes', 'imported_at')}`,
  `${SESSIONS} ${newest('sessions', 'created_at')}`,
  `${CHAIN_VERSIONS} ${newest('chain_versions', 'created_at')}`,
  `${BOUNCES} ${newest('bounces', 'created_at')}`,
  `${DELIVERIES} ${newest('deliveries', 'created_at')}`,
  `${ARTISTS} ${newest('artists', 'created_at')}`,
  `${VOICES} ${newest('voices', 'created_at')}`,
  `${SONGS} ${newest('songs', 'created_at')}`,
  `${ENTITY_CHANGES} ${newest('entity_changes', 'created_at')}`,
  `${HISTORY_IMPORTS} ${newest('history_imports', 'created_at')}`,
  `${TAKE_CHECKS} WHERE take_checks.id IN (
     SELECT id FROM take_checks WHERE is_news = 1 ORDER BY checked_at DESC, id DESC LIMIT @limit)`,
  `${ARCHIVES} ${newest('archives', 'created_at')}`,
]

// CROSS JOIN forces SQLite to join in the order written: each voice with its newest takes,
// then session by session.
const OF_ARTIST = [
  `${TAKES} WHERE takes.id IN (
     SELECT own.id FROM voices AS v CROSS JOIN takes AS own ON own.id IN (
       SELECT id FROM takes WHERE voice_id = v.id ORDER BY imported_at DESC, id DESC LIMIT @limit)
     WHERE v.artist_id = @artistId
     UNION ALL
     SELECT own.id FROM songs AS g CROSS JOIN sessions AS s ON s.song_id = g.id
     CROSS JOIN session_takes AS link ON link.session_id = s.id
     CROSS JOIN takes AS own ON own.id = link.take_id
     WHERE g.artist_id = @artistId AND own.voice_id IS NULL
       AND s.id = (SELECT min(session_id) FROM session_takes WHERE take_id = own.id))`,
  `${SESSIONS} WHERE songs.artist_id = @artistId`,
  `${CHAIN_VERSIONS} WHERE voices.artist_id = @artistId`,
  `${BOUNCES} WHERE songs.artist_id = @artistId`,
  `${DELIVERIES} WHERE songs.artist_id = @artistId`,
  `${ARTISTS} WHERE artists.id = @artistId`,
  `${VOICES} WHERE voices.artist_id = @artistId`,
  `${SONGS} WHERE songs.artist_id = @artistId`,
  `${ENTITY_CHANGES} WHERE artist_id = @artistId`,
  `${HISTORY_IMPORTS} WHERE artist_id = @artistId`,
  `${TAKE_CHECKS} WHERE is_news = 1 AND takes.voice_id IN (SELECT id FROM voices WHERE artist_id = @artistId)`,
  `${ARCHIVES} WHERE archives.artist_id = @artistId`,
]

const merged = (branches: readonly string[]): string => `
  SELECT at, kind, artistName, sessionId, detail FROM (${branches.join(' UNION ALL ')})
  ORDER BY at DESC, kind, id DESC LIMIT @limit`

type Row = Pick<LedgerEntry, 'at' | 'kind' | 'artistName' | 'sessionId'> & { readonly detail: string }

const entryOf = ({ detail, ...shared }: Row): LedgerEntry =>
  ({ ...shared, ...(JSON.parse(detail) as object) }) as LedgerEntry

export function ledgerQueries(db: Database) {
  const ofAll = db.prepare<[{ limit: number }], Row>(merged(OF_ALL))
  const ofArtist = db.prepare<[{ artistId: number; limit: number }], Row>(merged(OF_ARTIST))
  const newestTime = db
    .prepare<[], string | null>(
      `SELECT max(at) FROM (SELECT max(imported_at) AS at FROM takes
         UNION ALL SELECT max(created_at) FROM sessions
         UNION ALL SELECT max(created_at) FROM chain_versions
         UNION ALL SELECT max(created_at) FROM bounces
         UNION ALL SELECT max(created_at) FROM deliveries
         UNION ALL SELECT max(created_at) FROM artists
         UNION ALL SELECT max(created_at) FROM voices
         UNION ALL SELECT max(created_at) FROM songs
         UNION ALL SELECT max(created_at) FROM entity_changes
         UNION ALL SELECT max(created_at) FROM history_imports
         UNION ALL SELECT max(checked_at) FROM take_checks
         UNION ALL SELECT max(created_at) FROM archives)`,
    )
    .pluck()

  return {
    /** Newest first. */
    list: ({ artistId, limit }: LedgerRequest): LedgerEntry[] =>
      (artistId === undefined ? ofAll.all({ limit }) : ofArtist.all({ artistId, limit })).map(entryOf),
    /** ISO 8601; null while the ledger is empty. */
    newestTime: (): string | null => newestTime.get() ?? null,
  }
}
