// One artist: name, voices, songs, and the sessions of each song.

import { useQuery } from '@tanstack/react-query'
import type { ReactNode } from 'react'
import type { Artist } from '../../../app/contract/entities.ts'
import type { EntityKind, NamedEntityKind, PeopleAndSongs } from '../../../app/contract/entity-changes.ts'
import { formatDate, formatMoment, formatRate } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { createSong, createVoice, mergeEntities, removeEntity, renameEntity } from '../../acts/people-acts.ts'
import { followable } from '../../formats/recall/returning.ts'
import { Button } from '../../parts/button.tsx'
import { InlineName } from '../../parts/fields/inline-name.tsx'
import { showVoiceExport } from '../../state/exchange-dialog.ts'
import { sessionChainsQuery } from '../../state/queries.ts'
import { goTo, selectSession } from '../../state/selection.ts'
import { EntityMenu } from './entity-menu.tsx'
import { NewName } from './new-name.tsx'
import type { Tell } from './use-telling.ts'

export interface ArtistPageProps {
  readonly artist: Artist
  readonly people: PeopleAndSongs
  readonly tell: Tell
  /** The artist was merged into the one with this id. */
  readonly onMerged: (id: number) => void
  readonly onNewSession: () => void
  readonly onReturn: () => void
  readonly onClose: () => void
}

type Named = { readonly id: number; readonly name: string; readonly detail?: string }

export function ArtistPage({
  artist,
  people,
  tell,
  onMerged,
  onNewSession,
  onReturn,
  onClose,
}: ArtistPageProps) {
  const chains = useQuery(sessionChainsQuery).data ?? []
  const hasChain = followable(people.sessions, chains, artist.id).length > 0
  const voices = people.voices.filter((one) => one.artistId === artist.id)
  const songs = people.songs
    .filter((one) => one.artistId === artist.id)
    .map(({ id, title }) => ({ id, name: title }))
  const row = (kind: NamedEntityKind, one: Named, others: readonly Named[], words: string): ReactNode => (
    <EntityRow
      {...{ kind, words, tell }}
      entity={one}
      others={others}
      onMerged={kind === 'artist' ? onMerged : () => {}}
      onExport={
        kind === 'voice'
          ? () => {
              onClose()
              showVoiceExport({ voiceId: one.id, voiceName: one.name, artistName: artist.name })
            }
          : undefined
      }
    />
  )
  return (
    <section className="people-page" aria-label={artist.name}>
      <div className="people-head">
        {row(
          'artist',
          artist,
          people.artists.map((one) => ({ ...one, detail: artistWords(people, one.id) })),
          artistWords(people, artist.id),
        )}
      </div>
      <h3>Voices</h3>
      {voices.map((voice) => (
        <div key={voice.id}>
          {row('voice', voice, voices, `${countOf(voice.takes, 'take')}, ${countOf(voice.chains, 'chain')}`)}
        </div>
      ))}
      <NewName label="New voice" onCreate={(name) => tell(() => createVoice(artist.id, name))} />
      <h3>Songs and sessions</h3>
      {songs.map((song) => {
        const sessions = people.sessions.filter(({ songId }) => songId === song.id)
        return (
          <div key={song.id}>
            {row('song', song, songs, countOf(sessions.length, 'session'))}
            {sessions.map((session) => {
              const name = `${session.songTitle}, ${formatDate(session.date)}`
              return (
                <div key={session.id} className="people-row people-session">
                  <Button
                    look="plain"
                    aria-label={`Open session ${name}`}
                    onPress={() => {
                      onClose()
                      selectSession(session.id)
                      goTo('stack')
                    }}
                  >
                    {formatDate(session.date)}
                  </Button>
                  <span className="people-note soft">
                    {[
                      formatRate(session.sampleRateHz),
                      countOf(session.takes, 'take'),
                      countOf(session.layers, 'layer'),
                      countOf(session.bounces, 'bounce'),
                      `created ${formatMoment(session.createdAt)}`,
                    ].join(', ')}
                    {session.notes === '' ? null : <em className="people-notes"> {session.notes}</em>}
                  </span>
                  <EntityMenu
                    kind="session"
                    entity={{ id: session.id, name }}
                    others={[]}
                    onMerge={() => {}}
                    onRemove={() => void tell(() => removeEntity('session', { id: session.id, name }))}
                  />
                </div>
              )
            })}
          </div>
        )
      })}
      <NewName label="New song" onCreate={(title) => tell(() => createSong(artist.id, title))} />
      {hasChain ? (
        <Button className="people-new-session" look="main" onPress={onReturn}>
          {artist.name} returns
        </Button>
      ) : null}
      <Button className="people-new-session" onPress={onNewSession}>
        New session with {artist.name}
      </Button>
    </section>
  )
}

/** '2 voices, 1 song, 3 sessions'. */
export const artistWords = ({ voices, songs, sessions }: PeopleAndSongs, id: number): string =>
  [
    countOf(voices.filter((one) => one.artistId === id).length, 'voice'),
    countOf(songs.filter((one) => one.artistId === id).length, 'song'),
    countOf(sessions.filter((one) => one.artistId === id).length, 'session'),
  ].join(', ')

interface EntityRowProps {
  readonly kind: NamedEntityKind
  readonly entity: Named
  readonly others: readonly Named[]
  readonly words: string
  readonly tell: Tell
  readonly onMerged: (id: number) => void
  readonly onExport?: (() => void) | undefined
}

const KIND_WORDS: Readonly<Record<EntityKind, string>> = {
  artist: 'artist',
  voice: 'voice',
  song: 'song',
  session: 'session',
}

/** Name that is edited in place, what depends on it, and a menu to merge and remove. */
const EntityRow = ({ kind, entity, others, words, tell, onMerged, onExport }: EntityRowProps) => (
  <div className="people-row">
    <InlineName
      label={`Name of ${KIND_WORDS[kind]} ${entity.name}`}
      value={entity.name}
      onChange={(name) => void tell(() => renameEntity(kind, entity.id, name))}
    />
    <span className="people-note soft">{words}</span>
    <EntityMenu
      kind={kind}
      entity={entity}
      others={others.filter(({ id }) => id !== entity.id)}
      onMerge={(into) =>
        void tell(async () => {
          await mergeEntities(kind, entity, into)
          onMerged(into.id)
        })
      }
      onRemove={() => void tell(() => removeEntity(kind, entity))}
      onExport={onExport}
    />
  </div>
)
