// Joins for a take's artist, voice, mic, session and song.

/** A take belongs to the artist of its voice, or to the artist of its first session if it has no voice. */
export const TAKE_ARTIST_NAME = "coalesce(voice_artist.name, session_artist.name, '')"

/** After FROM takes: joins its mic, voice, first session and song, and what TAKE_ARTIST_NAME needs. */
export const TAKE_OWNER_JOINS = `
  LEFT JOIN mics ON mics.id = takes.mic_id
  LEFT JOIN voices ON voices.id = takes.voice_id
  LEFT JOIN artists AS voice_artist ON voice_artist.id = voices.artist_id
  LEFT JOIN sessions ON sessions.id = (SELECT min(session_id) FROM session_takes WHERE take_id = takes.id)
  LEFT JOIN songs ON songs.id = sessions.song_id
  LEFT JOIN artists AS session_artist ON session_artist.id = songs.artist_id`
