// Search results over the takes of all sessions, one line each, with artist, voice, mic and song.

import type { Database } from 'better-sqlite3'
import type { FoundTake } from '../../app/contract/entities.ts'
import { TAKE_ARTIST_NAME, TAKE_OWNER_JOINS } from './take-owner.ts'
import { searchQueryOf } from './take-search.ts'

export type TakeSearch = {
  readonly search: string
  readonly artistId?: number | undefined
  readonly limit: number
  readonly offset: number
}
export type FoundTakeQueries = ReturnType<typeof foundTakeQueries>

const LINES = `
  SELECT takes.id AS id, takes.name AS name, takes.sample_rate_hz AS sampleRateHz, channels, frames,
    imported_at AS importedAt, json_extract(facts, '$.integratedLufs') AS integratedLufs,
    ${TAKE_ARTIST_NAME} AS artistName,
    voices.name AS voiceName, mics.name AS micName, songs.title AS songTitle, sessions.date AS sessionDate
  FROM takes${TAKE_OWNER_JOINS}`

// CROSS JOIN forces SQLite to join in the order written: from the artist to the takes.
const OF_ARTIST = `
  SELECT own.id FROM voices AS v CROSS JOIN takes AS own ON own.voice_id = v.id WHERE v.artist_id = @artistId
  UNION
  SELECT own.id FROM songs AS g CROSS JOIN sessions AS s ON s.song_id = g.id
  CROSS JOIN session_takes AS link ON link.session_id = s.id
  CROSS JOIN takes AS own ON own.id = link.take_id
  WHERE g.artist_id = @artistId AND own.voice_id IS NULL`

// The page is selected from a narrow index first, so that wide rows are read only for what is shown. A search
// is sorted by id, which is the order of import and the order of the full-text index.
const NEWEST = `${LINES} WHERE takes.id IN (
    SELECT id FROM takes ORDER BY imported_at DESC, id DESC LIMIT @limit OFFSET @offset
  ) ORDER BY imported_at DESC, takes.id DESC`
const MATCHING = `${LINES} WHERE takes.id IN (
    SELECT rowid FROM takes_search WHERE takes_search MATCH @query
    ORDER BY rowid DESC LIMIT @limit OFFSET @offset
  ) ORDER BY takes.id DESC`
const NEWEST_OF_ARTIST = `${LINES} WHERE takes.id IN (
    SELECT id FROM takes WHERE id IN (${OF_ARTIST})
    ORDER BY imported_at DESC, id DESC LIMIT @limit OFFSET @offset
  ) ORDER BY imported_at DESC, takes.id DESC`
const MATCHING_OF_ARTIST = `${LINES} WHERE takes.id IN (
    SELECT rowid FROM takes_search WHERE takes_search MATCH @query AND +rowid IN (${OF_ARTIST})
    ORDER BY rowid DESC LIMIT @limit OFFSET @offset
  ) ORDER BY takes.id DESC`

interface Page {
  readonly limit: number
  readonly offset: number
}

export function foundTakeQueries(db: Database) {
  const newest = db.prepare<[Page], FoundTake>(NEWEST)
  const matching = db.prepare<[Page & { query: string }], FoundTake>(MATCHING)
  const newestOfArtist = db.prepare<[Page & { artistId: number }], FoundTake>(NEWEST_OF_ARTIST)
  const matchingOfArtist = db.prepare<[Page & { artistId: number; query: string }], FoundTake>(
    MATCHING_OF_ARTIST,
  )

  return {
    /** A page, newest first; `search` without a letter or digit finds all. */
    list({ search, artistId, limit, offset }: TakeSearch): FoundTake[] {
      const query = searchQueryOf(search)
      if (artistId === undefined) {
        return query === undefined ? newest.all({ limit, offset }) : matching.all({ query, limit, offset })
      }
      return query === undefined
        ? newestOfArtist.all({ artistId, limit, offset })
        : matchingOfArtist.all({ artistId, query, limit, offset })
    },
  }
}
