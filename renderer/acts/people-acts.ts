// Undoable acts on artists, voices, songs and sessions themselves. They belong to the whole catalogue, so
// they stay in the undo history when another session is opened.

import type { EntityKind, NamedEntityKind } from '../../app/contract/entity-changes.ts'
import type { InputOf } from '../../app/contract/wire/commands.ts'
import { client } from '../state/connection.ts'
import type { Act } from '../state/undo.ts'
import { type Doing, tryToPerform } from './undoable.ts'

const performForAll = (act: Pick<Act, 'label' | 'redo' | 'undo'>): Promise<void> =>
  tryToPerform({ ...act, outlivesSession: true })

/** A change that the catalogue can revert to exactly the rows before. */
function reverting(change: () => Promise<{ changeId: number }>): Doing {
  let changeId = 0
  return {
    redo: async () => {
      changeId = (await change()).changeId
    },
    undo: () => client.revertEntityChange({ changeId }),
  }
}

/** Something created; undo removes it, and redo puts the removed rows back under their ids. */
function creatingEntity<T extends { id: number }>(kind: EntityKind, create: () => Promise<T>) {
  let made: T | null = null
  let removal = 0
  return {
    made: (): T => made!,
    redo: async () => {
      if (made === null) made = await create()
      else await client.revertEntityChange({ changeId: removal })
    },
    undo: async () => {
      if (made !== null) removal = (await client.removeEntity({ kind, id: made.id })).changeId
    },
  }
}

/** @throws Failure, as all acts here, for the dialog to show */
export async function createArtist(name: string): Promise<number> {
  const artist = creatingEntity('artist', () => client.createArtist({ name, note: '' }))
  await performForAll({ label: `new artist ${name}`, ...artist })
  return artist.made().id
}

export async function createVoice(artistId: number, name: string): Promise<number> {
  const voice = creatingEntity('voice', () => client.createVoice({ artistId, name, note: '' }))
  await performForAll({ label: `new voice ${name}`, ...voice })
  return voice.made().id
}

export async function createSong(artistId: number, title: string): Promise<number> {
  const song = creatingEntity('song', () => client.createSong({ artistId, title }))
  await performForAll({ label: `new song ${title}`, ...song })
  return song.made().id
}

/** What a new session is made of; the artist, voice and song are created if they are new. */
export interface NewSession {
  /** null for a new artist. */
  readonly artistId: number | null
  readonly artistName: string
  /** Empty for no new voice. */
  readonly voiceName: string
  readonly fields: Omit<InputOf<'createSession'>, 'artistId'>
}

/**
 * Creates a session with what it needs; one undo step takes all of it away.
 * @returns id of the session
 */
export async function createSession({
  artistId,
  artistName,
  voiceName,
  fields,
}: NewSession): Promise<number> {
  const artist = creatingEntity('artist', () => client.createArtist({ name: artistName, note: '' }))
  const ownerId = (): number => artistId ?? artist.made().id
  const voice = creatingEntity('voice', () =>
    client.createVoice({ artistId: ownerId(), name: voiceName, note: '' }),
  )
  const title = fields.songTitle.trim()
  const song = creatingEntity('song', () => client.createSong({ artistId: ownerId(), title }))
  const session = creatingEntity('session', () => client.createSession({ ...fields, artistId: ownerId() }))
  const hasSong =
    artistId !== null && (await client.listSongs({ artistId })).some((one) => one.title === title)
  const parts: Doing[] = [
    ...(artistId === null ? [artist] : []),
    ...(voiceName.trim() === '' ? [] : [voice]),
    ...(hasSong ? [] : [song]),
    session,
  ]
  await performForAll({
    label: `new session ${title}`,
    async redo() {
      for (const [done, part] of parts.entries()) {
        try {
          await part.redo()
        } catch (error) {
          for (const one of parts.slice(0, done).toReversed()) await one.undo()
          throw error
        }
      }
    },
    async undo() {
      for (const part of parts.toReversed()) await part.undo()
    },
  })
  return session.made().id
}

export const renameEntity = (kind: NamedEntityKind, id: number, name: string): Promise<void> =>
  performForAll({ label: `rename to ${name}`, ...reverting(() => client.renameEntity({ kind, id, name })) })

/** Moves everything of one to the other, and removes it. */
export const mergeEntities = (
  kind: NamedEntityKind,
  from: { id: number; name: string },
  into: { id: number; name: string },
): Promise<void> =>
  performForAll({
    label: `merge ${from.name} into ${into.name}`,
    ...reverting(() => client.mergeEntities({ kind, id: from.id, intoId: into.id })),
  })

export const removeEntity = (kind: EntityKind, { id, name }: { id: number; name: string }): Promise<void> =>
  performForAll({ label: `remove ${name}`, ...reverting(() => client.removeEntity({ kind, id })) })
