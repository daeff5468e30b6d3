// The search index of takes also covers artist, voice, mic, song, notes and findings. It is kept by triggers
// on every table that these come from.

import type { Database } from 'better-sqlite3'
import type { Migration } from '../care/migrate.ts'

const FIELDS = 'name, folder, artist, voice, mic, song, note, finding'

/** Files that were sent by a browser are in folders with random names, which nobody searches for. */
const WORDS = `
  SELECT takes.id, takes.name,
  CASE WHEN takes.path GLOB 'incoming[/\\]*' THEN '' ELSE takes.path END,
  coalesce(own.name, (SELECT group_concat(artists.name, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id JOIN artists ON artists.id = artist_id
    WHERE take_id = takes.id), ''),
  coalesce(voices.name, ''),
  coalesce(mics.name || ' ' || mics.serial, ''),
  coalesce((SELECT group_concat(title, ' / ') FROM session_takes
    JOIN sessions ON sessions.id = session_id JOIN songs ON songs.id = song_id
    WHERE take_id = takes.id), ''),
  coalesce(own.note, '') || char(10) || coalesce(voices.note, '') || char(10) || coalesce(mics.note, '') || char(10) ||
    coalesce((SELECT group_concat(notes, char(10)) FROM session_takes JOIN sessions ON sessions.id = session_id
    WHERE take_id = takes.id), ''),
  coalesce((SELECT group_concat(value ->> '$.kind', ' ') FROM json_each(takes.facts, '$.findings')), '')
FROM takes
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS own ON own.id = voices.artist_id
  LEFT JOIN mics ON mics.id = takes.mic_id`

const OF_SESSIONS = 'SELECT take_id FROM session_takes JOIN sessions ON sessions.id = session_id'

/** The changes that alter words, and which takes they alter. */
const CHANGES: readonly (readonly [name: string, change: string, takes: string])[] = [
  ['insert', 'INSERT ON takes', 'SELECT new.id'],
  ['update', 'UPDATE OF name, path, voice_id, mic_id ON takes', 'SELECT new.id'],
  ['link', 'INSERT ON session_takes', 'SELECT new.take_id'],
  ['unlink', 'DELETE ON session_takes', 'SELECT old.take_id'],
  ['voice', 'UPDATE OF name, note, artist_id ON voices', 'SELECT id FROM takes WHERE voice_id = new.id'],
  ['mic', 'UPDATE OF name, serial, note ON mics', 'SELECT id FROM takes WHERE mic_id = new.id'],
  ['session', 'UPDATE OF notes, song_id ON sessions', `${OF_SESSIONS} WHERE session_id = new.id`],
  ['song', 'UPDATE OF title, artist_id ON songs', `${OF_SESSIONS} WHERE song_id = new.id`],
  [
    'artist',
    'UPDATE OF name, note ON artists',
    `SELECT takes.id FROM voices JOIN takes ON voice_id = voices.id WHERE artist_id = new.id
      UNION ${OF_SESSIONS} JOIN songs ON songs.id = song_id WHERE artist_id = new.id`,
  ],
]

const triggerOf = ([name, change, takes]: (typeof CHANGES)[number]): string => `
CREATE TRIGGER takes_search_${name} AFTER ${change} BEGIN
  INSERT OR REPLACE INTO takes_search (rowid, ${FIELDS})
  ${WORDS} WHERE takes.id IN (${takes});
END;
`

export const takeSearch: Migration = {
  number: 8,
  migrate(db: Database): void {
    db.exec(`
DROP TRIGGER takes_search_insert;
DROP TRIGGER takes_search_update;
DROP TRIGGER takes_search_delete;
DROP TABLE takes_search;
CREATE VIRTUAL TABLE takes_search USING fts5 (
  ${FIELDS}, content = '', contentless_delete = 1, prefix = '1 2 3',
  tokenize = 'unicode61 remove_diacritics 2'
);
${CHANGES.map(triggerOf).join('')}
CREATE TRIGGER takes_search_delete AFTER DELETE ON takes BEGIN
  DELETE FROM takes_search WHERE rowid = old.id;
END;
INSERT INTO takes_search (rowid, ${FIELDS}) ${WORDS};
`)
  },
}
