// People and songs: artists with their voices, songs and sessions, to create, rename, merge and remove them.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import { ListBox, ListBoxItem } from 'react-aria-components'
import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { Artist } from '../../../app/contract/entities.ts'
import type { PeopleAndSongs } from '../../../app/contract/entity-changes.ts'
import { createArtist } from '../../acts/people-acts.ts'
import { keyActOf } from '../../keys/key-table.ts'
import { ReturnDialog } from '../../panels/returns/return-dialog.tsx'
import { NewSessionDialog } from '../../panels/session/new-session-dialog.tsx'
import { Button } from '../../parts/button.tsx'
import { Dialog, DialogButtons, DialogFailure } from '../../parts/dialog.tsx'
import { SearchField } from '../../parts/fields/search-field.tsx'
import { peopleQuery } from '../../state/queries.ts'
import { undoHistory } from '../../state/undo.ts'
import { ArtistPage, artistWords } from './artist-page.tsx'
import { NewName } from './new-name.tsx'
import { useTelling } from './use-telling.ts'
import './people.css'

const store = createStore<{ isOpen: boolean }>()(() => ({ isOpen: false }))

/** Opens the dialog. */
export const showPeople = (): void => store.setState({ isOpen: true })
const close = (): void => store.setState({ isOpen: false })

/** The dialog, while it is open. */
export const People = () => (useStore(store).isOpen ? <PeopleDialog /> : null)

function PeopleDialog() {
  const people = useQuery(peopleQuery)
  const { undoLabel, redoLabel } = useStore(undoHistory.state)
  const telling = useTelling()
  const [search, setSearch] = useState('')
  const [chosenId, setChosenId] = useState<number | null>(null)
  const [returning, setReturning] = useState<Artist | null>(null)
  const [isMaking, setMaking] = useState<number | 'new' | null>(null)
  const all = people.data ?? { artists: [], voices: [], songs: [], sessions: [] }
  const shown = all.artists.filter(({ id }) => matches(all, id, search))
  const artist = shown.find(({ id }) => id === chosenId) ?? shown[0]

  if (returning !== null) {
    return (
      <ReturnDialog
        artistId={returning.id}
        artistName={returning.name}
        onClose={() => setReturning(null)}
        onBegun={close}
      />
    )
  }
  if (isMaking !== null) {
    return (
      <NewSessionDialog artistId={isMaking === 'new' ? null : isMaking} onClose={() => setMaking(null)} />
    )
  }
  return (
    <Dialog title="People and songs" isOpen onClose={close} width="page">
      {/* biome-ignore lint/a11y/noStaticElementInteractions: undo by its usual keys, which a dialog keeps from the window */}
      <div
        className="people"
        onKeyDown={(event) => {
          const act = keyActOf(event, 'everywhere')
          const isText = event.target instanceof HTMLInputElement
          if (isText || (act !== 'undo' && act !== 'redo')) return
          event.preventDefault()
          void telling.tell(undoHistory[act])
        }}
      >
        <div className="people-list">
          <SearchField
            label="Search people and songs"
            isLabelHidden
            placeholder="Artist, voice, song or note"
            typed={{
              text: search,
              onChange: setSearch,
              onDown: () => document.querySelector<HTMLElement>('.people-artists [role="option"]')?.focus(),
            }}
          />
          <ListBox
            className="people-artists"
            aria-label="Artists"
            items={shown}
            selectionMode="single"
            disallowEmptySelection
            selectedKeys={artist === undefined ? [] : [artist.id]}
            onSelectionChange={(keys) => {
              if (keys !== 'all') setChosenId(Number([...keys][0]))
            }}
            renderEmptyState={() => (
              <p className="people-none soft">
                {search === '' ? 'No artists yet.' : 'No matches. Try fewer letters.'}
              </p>
            )}
          >
            {({ id, name }) => (
              <ListBoxItem id={id} textValue={name} className="people-artist">
                <span className="people-name">{name}</span>
                <span className="soft">{artistWords(all, id)}</span>
              </ListBoxItem>
            )}
          </ListBox>
          <NewName
            label="New artist"
            onCreate={(name) => telling.tell(async () => setChosenId(await createArtist(name)))}
          />
        </div>
        {artist === undefined ? (
          <div className="people-page" />
        ) : (
          <ArtistPage
            key={artist.id}
            artist={artist}
            people={all}
            tell={telling.tell}
            onMerged={setChosenId}
            onNewSession={() => setMaking(artist.id)}
            onReturn={() => setReturning(artist)}
            onClose={close}
          />
        )}
      </div>
      <DialogFailure message={people.error?.message ?? telling.failure} />
      <DialogButtons>
        <Button isDisabled={undoLabel === null} onPress={() => void telling.tell(undoHistory.undo)}>
          {undoLabel === null ? 'Undo' : `Undo ${undoLabel}`}
        </Button>
        <Button isDisabled={redoLabel === null} onPress={() => void telling.tell(undoHistory.redo)}>
          {redoLabel === null ? 'Redo' : `Redo ${redoLabel}`}
        </Button>
        <span className="people-gap" />
        <Button onPress={() => setMaking('new')}>New session</Button>
        <Button look="main" onPress={close}>
          Close
        </Button>
      </DialogButtons>
    </Dialog>
  )
}

/** Whether every word is found in the artist's name, voices, songs, or dates and notes of sessions. */
function matches({ artists, voices, songs, sessions }: PeopleAndSongs, id: number, search: string): boolean {
  const text = [
    ...artists.filter((one) => one.id === id).flatMap(({ name, note }) => [name, note]),
    ...voices.filter((one) => one.artistId === id).map(({ name }) => name),
    ...songs.filter((one) => one.artistId === id).map(({ title }) => title),
    ...sessions.filter((one) => one.artistId === id).flatMap(({ date, notes }) => [date, notes]),
  ]
    .join('\n')
    .toLowerCase()
  return search
    .toLowerCase()
    .split(/\s+/)
    .every((word) => text.includes(word))
}
