// Artists, their voices and songs, and what can be done to them and to sessions.

import { Failure } from '../../contract/failure.ts'
import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'

type PeopleActs =
  | 'listArtists'
  | 'createArtist'
  | 'listVoices'
  | 'createVoice'
  | 'listSongs'
  | 'createSong'
  | 'listPeopleAndSongs'
  | 'renameEntity'
  | 'mergeEntities'
  | 'removeEntity'
  | 'revertEntityChange'

const isSameName = (a: string, b: string): boolean =>
  a.localeCompare(b, 'en', { sensitivity: 'accent' }) === 0

export function peopleHandlers({ catalogue, emit, now }: Workplace): Pick<Handlers, PeopleActs> {
  /** A merge or a removal can touch everything that names an artist, voice or song. */
  const changed = (changeId: number): { changeId: number } => {
    emit('catalogueChanged', {
      subjects: ['artists', 'sessions', 'takes', 'stack', 'chains', 'drafts', 'ledger'],
    })
    return { changeId }
  }
  return {
    listArtists: async () => catalogue.artists.list(),
    async createArtist(fields) {
      const artist = catalogue.artists.insert(fields, now())
      emit('catalogueChanged', { subjects: ['artists', 'ledger'] })
      return artist
    },
    listVoices: async ({ artistId }) => catalogue.voices.list(artistId),
    async createVoice(fields) {
      const twin = catalogue.voices.list(fields.artistId).find(({ name }) => isSameName(name, fields.name))
      if (twin !== undefined) {
        throw new Failure(
          'conflict',
          `This artist already has the voice ${twin.name}; use it, or give this one another name.`,
          { id: twin.id },
        )
      }
      const voice = catalogue.voices.insert(fields, now())
      emit('catalogueChanged', { subjects: ['artists', 'ledger'] })
      return voice
    },
    listSongs: async ({ artistId }) => catalogue.songs.list(artistId),
    async createSong(fields) {
      const song = catalogue.songs.insert(fields, now())
      emit('catalogueChanged', { subjects: ['artists', 'ledger'] })
      return song
    },

    listPeopleAndSongs: async () => catalogue.entityChanges.overview(catalogue.sessions.list()),
    renameEntity: async ({ kind, id, name }) =>
      changed(catalogue.entityChanges.rename(kind, id, name, now())),
    mergeEntities: async ({ kind, id, intoId }) =>
      changed(catalogue.entityChanges.merge(kind, id, intoId, now())),
    removeEntity: async ({ kind, id }) => changed(catalogue.entityChanges.remove(kind, id, now())),
    async revertEntityChange({ changeId }) {
      catalogue.entityChanges.revert(changeId)
      changed(changeId)
      return {}
    },
  }
}
