// Artists, their voices and songs.

import type { Handlers } from '../../contract/wire/commands.ts'
import type { Workplace } from '../workplace.ts'

export function peopleHandlers({
  catalogue,
  emit,
  now,
}: Workplace): Pick<Handlers, 'listArtists' | 'createArtist' | 'listVoices' | 'createVoice' | 'listSongs'> {
  return {
    listArtists: async () => catalogue.artists.list(),
    async createArtist(fields) {
      const artist = catalogue.artists.insert(fields, now())
      emit('catalogueChanged', { subjects: ['artists'] })
      return artist
    },
    listVoices: async ({ artistId }) => catalogue.voices.list(artistId),
    async createVoice(fields) {
      const voice = catalogue.voices.insert(fields, now())
      emit('catalogueChanged', { subjects: ['artists'] })
      return voice
    },
    listSongs: async ({ artistId }) => catalogue.songs.list(artistId),
  }
}
