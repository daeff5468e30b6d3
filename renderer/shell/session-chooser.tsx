// Chooses the open session, and creates new ones.

import { useQuery } from '@tanstack/react-query'
import { useStore } from 'zustand'
import { createStore } from 'zustand/vanilla'
import type { ListedSession } from '../../app/contract/entities.ts'
import { formatDate, formatMoment, formatTimeOfDay, isoDateOf } from '../../app/words/format.ts'
import { countOf } from '../../app/words/numbers.ts'
import { ariaKeysOf } from '../keys/key-table.ts'
import { NewSessionDialog } from '../panels/session/new-session-dialog.tsx'
import { Button } from '../parts/button.tsx'
import { Select } from '../parts/fields/select.tsx'
import { PlusSign } from '../parts/signs.tsx'
import { sessionsQuery } from '../state/queries.ts'
import { selectSession, useSelection } from '../state/selection.ts'

/** Tells sessions of one song apart: date, takes, when it was created, the first words of its notes. */
function detailOf({ date, takes, createdAt, notes }: ListedSession): string {
  const day = formatDate(date)
  const made = isoDateOf(createdAt) === date ? formatTimeOfDay(createdAt) : formatMoment(createdAt)
  const words = notes.trim().replaceAll(/\s+/g, ' ')
  const start = words.length > NOTE_CHARACTERS ? `${words.slice(0, NOTE_CHARACTERS)}…` : words
  const facts = [day, countOf(takes, 'take'), `created ${made}`]
  return start === '' ? facts.join(', ') : `${facts.join(', ')}: ${start}`
}

/** With the rest it fits one line; a long list gives each session two, one of them for the song. */
const NOTE_CHARACTERS = 24

/** Song and artist of each session, with the date in front where a song has several. */
function namesOf(sessions: readonly ListedSession[]): ReadonlyMap<number, string> {
  const ofSong = Map.groupBy(sessions, ({ songId }) => songId)
  return new Map(
    sessions.map(({ id, songId, date, songTitle, artistName }) => {
      const day = ofSong.get(songId)?.length === 1 ? '' : `${formatDate(date)} · `
      return [id, `${day}${songTitle} · ${artistName}`]
    }),
  )
}

const store = createStore<{ readonly isMaking: boolean }>()(() => ({ isMaking: false }))
export const showNewSession = (): void => store.setState({ isMaking: true })

export function SessionChooser() {
  const { sessionId } = useSelection()
  const sessions = useQuery(sessionsQuery).data ?? []
  const { isMaking } = useStore(store)
  const names = namesOf(sessions)
  return (
    <>
      {sessions.length === 0 ? null : (
        <Select
          label="Session"
          isLabelHidden
          className="session-chooser"
          placeholder="Choose a session"
          items={sessions.map((session) => ({
            key: session.id,
            name: names.get(session.id) ?? '',
            detail: detailOf(session),
          }))}
          value={sessions.some((session) => session.id === sessionId) ? sessionId : null}
          onChange={selectSession}
        />
      )}
      <Button
        className="session-new"
        aria-label="New session"
        aria-keyshortcuts={ariaKeysOf('newSession')}
        onPress={showNewSession}
      >
        <PlusSign />
        <span className="session-new-word">New session</span>
      </Button>
      {isMaking ? (
        <NewSessionDialog
          artistId={sessions.find(({ id }) => id === sessionId)?.artistId ?? null}
          onClose={() => store.setState({ isMaking: false })}
        />
      ) : null}
    </>
  )
}
