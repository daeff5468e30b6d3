// Renaming, merging and removing artists, voices, songs and sessions.

import { z } from 'zod'
import { Artist, Id, ListedSession, Song, Voice } from './entities.ts'

/** What can be renamed, merged or removed. */
export const EntityKind = z.enum(['artist', 'voice', 'song', 'session'])
export type EntityKind = z.infer<typeof EntityKind>
/** A session has no name of its own, and two sessions are two days of work: neither renamed nor merged. */
export const NamedEntityKind = z.enum(['artist', 'voice', 'song'])
export type NamedEntityKind = z.infer<typeof NamedEntityKind>

const Count = z.int().nonnegative()

/** Everything in the catalogue that can be merged or removed, with counts of what depends on it. */
export const PeopleAndSongs = z.object({
  artists: z.array(Artist),
  voices: z.array(Voice.extend({ takes: Count, chains: Count })),
  songs: z.array(Song),
  sessions: z.array(ListedSession.extend({ layers: Count, bounces: Count })),
})
export type PeopleAndSongs = z.infer<typeof PeopleAndSongs>

const Values = z.record(z.string(), z.union([z.string(), z.number(), z.null()]))

/** Rows as they were before a change, as the catalogue stores them. */
export const RowsBefore = z.strictObject({
  /** Rows that the change removed, in the order in which they can be put back. */
  removed: z.array(
    z.strictObject({
      table: z.enum(['artists', 'voices', 'songs', 'sessions', 'groups', 'chain_drafts', 'sections']),
      values: Values,
    }),
  ),
  /** Values that the change replaced in some rows of a table. */
  changed: z.array(
    z.strictObject({
      table: z.enum(['artists', 'voices', 'songs', 'sessions', 'takes', 'chains']),
      column: z.enum(['name', 'title', 'note', 'artist_id', 'song_id', 'voice_id']),
      ids: z.array(Id),
      from: z.union([z.string(), z.number()]),
      to: z.union([z.string(), z.number()]),
    }),
  ),
})
export type RowsBefore = z.infer<typeof RowsBefore>
