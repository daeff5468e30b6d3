// Search results over the takes of all sessions, one line each, with artist, voice, mic and song, and with
// what else of the take the words were found in.

import type { Database } from 'better-sqlite3'
import type { FoundTake } from '../../app/contract/entities.ts'
import { excerptOf, searchWordsOf } from '../../app/contract/text/search-words.ts'
import { TAKE_ARTIST_NAME, TAKE_OWNER_JOINS } from './take-owner.ts'
import { searchQueryOf } from './take-search.ts'

export type TakeSearch = {
  readonly search: string
  readonly artistId?: number | undefined
  readonly limit: number
  readonly offset: number
}
export type FoundTakeQueries = ReturnType<typeof foundTakeQueries>

const FIELDS = `takes.id AS id, takes.name AS name, takes.sample_rate_hz AS sampleRateHz, channels, frames,
    imported_at AS importedAt, json_extract(facts, '$.integratedLufs') AS integratedLufs,
    ${TAKE_ARTIST_NAME} AS artistName,
    voices.name AS voiceName, mics.name AS micName, songs.title AS songTitle, sessions.date AS sessionDate`
const LINES = `SELECT ${FIELDS} FROM takes${TAKE_OWNER_JOINS}`
const LINES_WITH_WORDS = `SELECT ${FIELDS}, takes.path AS path,
    coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(facts, '$.findings')), '') AS findings,
    coalesce((SELECT group_concat(title, ' / ') FROM session_takes AS link
      JOIN sessions AS s ON s.id = link.session_id JOIN songs AS g ON g.id = s.song_id
      WHERE link.take_id = takes.id), '') AS songTitles,
    coalesce(voice_artist.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') ||
      char(10) || coalesce((SELECT group_concat(s.notes, char(10)) FROM session_takes AS link
        JOIN sessions AS s ON s.id = link.session_id WHERE link.take_id = takes.id), '') AS notes
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
const MATCHING = `${LINES_WITH_WORDS} WHERE takes.id IN (
    SELECT rowid FROM takes_search WHERE takes_search MATCH @query
    ORDER BY rowid DESC LIMIT @limit OFFSET @offset
  ) ORDER BY takes.id DESC`
const NEWEST_OF_ARTIST = `${LINES} WHERE takes.id IN (
    SELECT id FROM takes WHERE id IN (${OF_ARTIST})
    ORDER BY imported_at DESC, id DESC LIMIT @limit OFFSET @offset
  ) ORDER BY imported_at DESC, takes.id DESC`
const MATCHING_OF_ARTIST = `${LINES_WITH_WORDS} WHERE takes.id IN (
    SELECT rowid FROM takes_search WHERE takes_search MATCH @query AND +rowid IN (${OF_ARTIST})
    ORDER BY rowid DESC LIMIT @limit OFFSET @offset
  ) ORDER BY takes.id DESC`

type Line = Omit<FoundTake, 'matched'>
type LineWithWords = Line & { path: string; findings: string; songTitles: string; notes: string }

interface Page {
  readonly limit: number
  readonly offset: number
}

export function foundTakeQueries(db: Database) {
  const newest = db.prepare<[Page], Line>(NEWEST)
  const matching = db.prepare<[Page & { query: string }], LineWithWords>(MATCHING)
  const newestOfArtist = db.prepare<[Page & { artistId: number }], Line>(NEWEST_OF_ARTIST)
  const matchingOfArtist = db.prepare<[Page & { artistId: number; query: string }], LineWithWords>(
    MATCHING_OF_ARTIST,
  )
  const find = (lines: readonly LineWithWords[], search: string): FoundTake[] => {
    const words = searchWordsOf(search)
    return lines.map((line) => withMatches(line, words))
  }

  return {
    /** A page, newest first; `search` without a letter or digit finds all. */
    list({ search, artistId, limit, offset }: TakeSearch): FoundTake[] {
      const query = searchQueryOf(search)
      if (query !== undefined) {
        return artistId === undefined
          ? find(matching.all({ query, limit, offset }), search)
          : find(matchingOfArtist.all({ artistId, query, limit, offset }), search)
      }
      const lines =
        artistId === undefined
          ? newest.all({ limit, offset })
          : newestOfArtist.all({ artistId, limit, offset })
      return lines.map((line) => ({ ...line, matched: [] }))
    },
  }
}

/**
 * Name, artist, voice, mic and song are part of every line. Other fields are added where they have a word
 * that none before them has.
 */
function withMatches(
  { songTitles, notes, findings, path, ...line }: LineWithWords,
  words: readonly string[],
): FoundTake {
  const shown = [line.name, line.artistName, line.voiceName, line.micName, line.songTitle].join('\n')
  let missing = words.filter((word) => excerptOf(shown, [word]) === null)
  const matched: FoundTake['matched'] = []
  const add = (field: FoundTake['matched'][number]['field'], text: string): void => {
    const excerpt = excerptOf(text, missing)
    if (excerpt === null) return
    matched.push({ field, text: excerpt })
    missing = missing.filter((word) => excerptOf(text, [word]) === null)
  }
  for (const kind of findings.split(' ')) add('finding', kind)
  add('song', songTitles)
  add('note', notes)
  if (!/^incoming[/\\]/.test(path)) add('folder', isNamedAfter(line.name, path) ? folderOf(path) : path)
  return { ...line, matched }
}

const folderOf = (path: string): string => path.replace(/[^/\\]*$/, '')
/** Whether the file's name only repeats that of the take. */
const isNamedAfter = (name: string, path: string): boolean =>
  path.slice(folderOf(path).length).replace(/\.[^.]*$/, '') === name
