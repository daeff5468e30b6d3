// Searches what has no full-text index: sessions, voices, versions of chains with their stages, bounces and mics. They
// are few beside the takes, so their texts are read and compared one by one.

import type { Database } from 'better-sqlite3'
import type { FoundThing } from '../../../app/contract/book/found-thing.ts'
import { excerptOf, searchWordsOf } from '../../../app/contract/text/search-words.ts'

export type EverythingSearchQueries = ReturnType<typeof everythingSearchQueries>

type Thing = Exclude<FoundThing, { kind: 'take' }>
/** `shown` is part of every line of the result, `more` is not. */
type Row<T> = Omit<T, 'kind' | 'excerpt'> & { readonly shown: string; readonly more: string }

const ARTIST_OF_SONG = 'JOIN songs ON songs.id = song_id JOIN artists ON artists.id = songs.artist_id'

const SESSIONS = `
  SELECT sessions.id, artists.name AS artistName, title AS songTitle, date,
    artists.name || char(10) || title || char(10) || date AS shown, notes AS more
  FROM sessions ${ARTIST_OF_SONG} ORDER BY date DESC, sessions.id DESC`
const VOICES = `
  SELECT voices.id, artists.name AS artistName, voices.name,
    artists.name || char(10) || voices.name AS shown, voices.note || char(10) || artists.note AS more
  FROM voices JOIN artists ON artists.id = artist_id ORDER BY voices.id DESC`
const VERSIONS = `
  SELECT chain_versions.id, artists.name AS artistName, voices.name AS voiceName, chain_id AS chainId,
    chains.name AS chainName, number,
    (SELECT max(id) FROM (
       SELECT session_id AS id FROM groups WHERE chain_version_id = chain_versions.id
       UNION ALL SELECT id FROM sessions WHERE shared_chain_version_id = chain_versions.id)) AS sessionId,
    artists.name || char(10) || voices.name || char(10) || chains.name || char(10) || 'version ' || number AS shown,
    chain_versions.note || char(10) ||
      coalesce((SELECT group_concat(value ->> '$.kind', ', ') FROM json_each(stages)
        WHERE value ->> '$.on'), '') AS more
  FROM chain_versions JOIN chains ON chains.id = chain_id JOIN voices ON voices.id = voice_id
  JOIN artists ON artists.id = artist_id ORDER BY chain_versions.id DESC`
const BOUNCES = `
  SELECT bounces.id, artists.name AS artistName, title AS songTitle, session_id AS sessionId,
    manifest_path AS manifestPath, bounces.created_at AS createdAt,
    artists.name || char(10) || title || char(10) || manifest_path AS shown, part AS more
  FROM bounces JOIN sessions ON sessions.id = session_id ${ARTIST_OF_SONG} ORDER BY bounces.id DESC`
const MICS = `SELECT id, name, name AS shown, serial || char(10) || note AS more FROM mics ORDER BY id DESC`

export function everythingSearchQueries(db: Database) {
  const kinds = {
    session: db.prepare<[], Row<Extract<Thing, { kind: 'session' }>>>(SESSIONS),
    voice: db.prepare<[], Row<Extract<Thing, { kind: 'voice' }>>>(VOICES),
    'chain-version': db.prepare<[], Row<Extract<Thing, { kind: 'chain-version' }>>>(VERSIONS),
    bounce: db.prepare<[], Row<Extract<Thing, { kind: 'bounce' }>>>(BOUNCES),
    mic: db.prepare<[], Row<Extract<Thing, { kind: 'mic' }>>>(MICS),
  }
  return {
    /**
     * Things in which every searched word begins a word, at most `limit` of each kind, newest first; none for a
     * search without letters and digits.
     */
    find(search: string, limit: number): Thing[] {
      const words = searchWordsOf(search)
      if (words.length === 0) return []
      return Object.entries(kinds).flatMap(([kind, rows]) => {
        const things: Thing[] = []
        for (const { shown, more, ...thing } of rows.iterate()) {
          if (things.length === limit) break
          const missing = words.filter((word) => excerptOf(shown, [word]) === null)
          if (!missing.every((word) => excerptOf(more, [word]) !== null)) continue
          things.push({ kind, ...thing, excerpt: excerptOf(more, missing) ?? '' } as Thing)
        }
        return things
      })
    },
  }
}
