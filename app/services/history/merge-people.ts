// Merges artists, their voices and their songs.

import { validState } from '../../history/lineage.ts'
import { adoptStates, mergeStates } from './merge-states.ts'
import {
  isSameName,
  joinIdentities,
  type Merging,
  noteAdded,
  noteConflict,
  referredRow,
  rowHere,
} from './merging.ts'

const described = ({ name, note }: { name: string; note: string }): string =>
  note === '' ? name : `${name} (${note})`

/** An artist of a name that is here under another identity is asked about: two people may have one name. */
export function mergeArtists(merging: Merging): void {
  const { catalogue, entries, answers, done } = merging
  const { artists, identities, historyRows } = catalogue
  for (const artist of entries.history.artists) {
    const { name, note } = validState(artist.states).values
    let row = rowHere(merging, 'artists', artist)
    if (row === undefined) {
      const here = artists.list().filter((one) => isSameName(one.name, name))
      const answer = answers.find((one) => one.artist === artist.id)
      if (here.length > 0 && answer === undefined) {
        done.questions.push({
          artist: artist.id,
          name,
          here: here.map((one) => ({ id: one.id, name: one.name })),
        })
      }
      // Any artist may be named as the same one, under whatever name.
      if (answer?.same != null) row = artists.get(answer.same).id
    }
    if (row === undefined) {
      row = artists.insert({ name, note }, artist.createdAt).id
      identities.adopt('artists', row, artist.id)
      adoptStates(merging, { subject: 'artists', id: row }, artist.states)
      noteAdded(merging, 'artist', name)
    } else {
      const id = row
      const { name: nameHere, note: noteHere } = artists.get(id)
      mergeStates(
        merging,
        { subject: 'artists', id, kind: 'artist', name: nameHere, madeAt: historyRows.madeAt('artists', id) },
        { name: nameHere, note: noteHere },
        artist.states,
        { rule: 'newest', write: (values) => artists.update(id, values), describe: described },
      )
    }
    joinIdentities(merging, 'artists', row, artist)
  }
}

/** Voices of one name stay apart, because only the engineer knows whether they sound the same. */
export function mergeVoices(merging: Merging): void {
  const { voices, identities, historyRows } = merging.catalogue
  for (const voice of merging.entries.history.voices) {
    const { name, note } = validState(voice.states).values
    merging.done.voices.push(name)
    const row = rowHere(merging, 'voices', voice)
    if (row === undefined) {
      const artistId = referredRow(merging, 'artists', voice.artist)
      if (voices.list(artistId).some((one) => isSameName(one.name, name))) {
        noteConflict(merging, 'same-name', 'voice', name)
      }
      const { id } = voices.insert({ artistId, name, note }, voice.createdAt)
      identities.adopt('voices', id, voice.id)
      adoptStates(merging, { subject: 'voices', id }, voice.states)
      joinIdentities(merging, 'voices', id, voice)
      noteAdded(merging, 'voice', name)
      continue
    }
    const here = voices.get(row)
    mergeStates(
      merging,
      {
        subject: 'voices',
        id: row,
        kind: 'voice',
        name: here.name,
        madeAt: historyRows.madeAt('voices', row),
      },
      { name: here.name, note: here.note },
      voice.states,
      { rule: 'newest', write: (values) => voices.update(row, values), describe: described },
    )
    joinIdentities(merging, 'voices', row, voice)
  }
}

/** Songs of one title and artist are one song, as an artist has each title once. */
export function mergeSongs(merging: Merging): void {
  const { songs, identities, historyRows } = merging.catalogue
  for (const song of merging.entries.history.songs) {
    const { title } = validState(song.states).values
    const artistId = referredRow(merging, 'artists', song.artist)
    const row = rowHere(merging, 'songs', song) ?? songs.findByTitle(artistId, title)?.id
    if (row === undefined) {
      const { id } = songs.insert({ artistId, title }, song.createdAt)
      identities.adopt('songs', id, song.id)
      adoptStates(merging, { subject: 'songs', id }, song.states)
      joinIdentities(merging, 'songs', id, song)
      noteAdded(merging, 'song', title)
      continue
    }
    const here = songs.get(row)
    mergeStates(
      merging,
      { subject: 'songs', id: row, kind: 'song', name: here.title, madeAt: historyRows.madeAt('songs', row) },
      { title: here.title },
      song.states,
      {
        rule: 'newest',
        // Another song here may have the title; this one then keeps its own.
        write: (newer) => {
          if (songs.findByTitle(here.artistId, newer.title) === undefined) songs.retitle(row, newer.title)
        },
        describe: (one) => one.title,
      },
    )
    joinIdentities(merging, 'songs', row, song)
  }
}
