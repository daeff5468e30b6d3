// The book of a voice: its sessions as a line through time, what changes over them, and the versions of its chains.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { VoiceBook } from '../../../../app/contract/book/voice-book.ts'
import type { Artist, Voice } from '../../../../app/contract/entities.ts'
import { formatDate } from '../../../../app/words/format.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { changeSentence, noChangeWords } from '../../../formats/book/change-words.ts'
import { Button } from '../../../parts/button.tsx'
import { EmptyState } from '../../../parts/empty-state.tsx'
import { Select } from '../../../parts/fields/select.tsx'
import { showVoiceExport, showVoiceImport } from '../../../state/exchange-dialog.ts'
import { artistsQuery, useCurrentSession, voiceBookQuery, voicesQuery } from '../../../state/queries.ts'
import type { ShownVersion } from '../versions/chain-version-dialog.tsx'
import { showBookOf, useBookDesk } from './book-desk.ts'
import { CompareVersions } from './compare-versions.tsx'
import { SeasonLanes } from './season-lanes.tsx'
import { SeasonTable } from './season-table.tsx'
import { SessionLines } from './session-lines.tsx'
import { VersionTree } from './version-tree.tsx'
import './book.css'

export interface BookViewProps {
  readonly onVersion: (version: ShownVersion) => void
}

export function BookView({ onVersion }: BookViewProps) {
  const artists = useQuery(artistsQuery).data ?? []
  const voices = useQuery(voicesQuery(undefined)).data ?? []
  const { voiceId } = useBookDesk()
  const current = useCurrentSession().data
  // The voice of the open session, until one is chosen.
  const open = current?.takes.find((take) => take.voiceId !== null)?.voiceId
  const shownId = [voiceId, open, voices[0]?.id].find((id) => voices.some((voice) => voice.id === id))
  const { data: book, error } = useQuery({
    ...voiceBookQuery(shownId ?? 0),
    enabled: shownId !== undefined,
  })
  if (voices.length === 0) {
    return (
      <EmptyState title="No voices yet">
        <p>Give takes a voice in Intake; each voice has a page here.</p>
        <Button onPress={showVoiceImport}>Import a voice…</Button>
      </EmptyState>
    )
  }
  return (
    <div className="book-view">
      <div className="book-head">
        <Select
          className="book-voice"
          label="Voice"
          isLabelHidden
          items={voices.map((voice) => ({ key: voice.id, name: voiceName(voice, artists) }))}
          value={shownId ?? null}
          onChange={showBookOf}
        />
        {book === undefined ? null : (
          <span className="soft">
            {[
              countOf(book.sessions.length, 'session'),
              countOf(
                book.chains.reduce((sum, { versions }) => sum + versions.length, 0),
                'chain version',
              ),
            ].join(', ')}
          </span>
        )}
        <div className="book-exchange">
          {book === undefined ? null : (
            <Button
              onPress={() =>
                showVoiceExport({
                  voiceId: book.voice.id,
                  voiceName: book.voice.name,
                  artistName: book.voice.artistName,
                })
              }
            >
              Export this voice…
            </Button>
          )}
          <Button onPress={showVoiceImport}>Import a voice…</Button>
        </div>
      </div>
      {error === null ? null : <p className="ledger-failure">{error.message}</p>}
      {book === undefined ? null : <Book key={book.voice.id} book={book} onVersion={onVersion} />}
    </div>
  )
}

const voiceName = (voice: Voice, artists: readonly Artist[]): string =>
  `${artists.find(({ id }) => id === voice.artistId)?.name ?? ''}, ${voice.name}`

function Book({ book, onVersion }: { book: VoiceBook } & BookViewProps) {
  const { sessions, changes, chains } = book
  const [chosenId, setChosenId] = useState<number | null>(null)
  const [showsTable, setShowsTable] = useState(false)
  const found = sessions.findIndex(({ sessionId }) => sessionId === chosenId)
  const shown = found === -1 ? sessions.length - 1 : found
  return (
    <>
      {sessions.length === 0 ? (
        <p className="soft book-none">No takes of this voice yet.</p>
      ) : (
        <section aria-label="Sessions">
          <div className="book-section-head">
            <h2>Sessions</h2>
            <span className="soft">
              Points: median of the takes. Thin line: their range. Band: usual before. Ring: unusual.
            </span>
            <Button look="plain" aria-expanded={showsTable} onPress={() => setShowsTable(!showsTable)}>
              {showsTable ? 'Hide table' : 'Show table'}
            </Button>
          </div>
          <SeasonLanes sessions={sessions} shownId={sessions[shown].sessionId} onShow={setChosenId} />
          {showsTable ? <SeasonTable sessions={sessions} onShow={setChosenId} /> : null}
          <div className="book-below">
            <SessionLines session={sessions[shown]} before={sessions[shown - 1]} onVersion={onVersion} />
            <section className="book-changes" aria-label="Over the sessions">
              <h3>Over the sessions</h3>
              {changes.length === 0 ? <p className="soft">{noChangeWords(sessions.length)}</p> : null}
              {changes.map((change) => (
                <p key={`${change.kind} ${change.figure}`}>
                  {changeSentence(change, sessions)}{' '}
                  {change.kind === 'step' ? (
                    <Button
                      look="plain"
                      aria-label={`Show the session of ${formatDate(sessions[change.since].date)}`}
                      onPress={() => setChosenId(sessions[change.since].sessionId)}
                    >
                      Show session
                    </Button>
                  ) : null}
                </p>
              ))}
              {changes.length === 0 ? null : (
                <p className="soft">What it comes from is not measured. Listen to takes from both ends.</p>
              )}
            </section>
          </div>
        </section>
      )}
      {chains.length === 0 ? null : (
        <section className="book-chains" aria-label="Chains">
          <div className="book-trees">
            {chains.map(({ id, name, versions }) => (
              <div key={id}>
                <h2>{name}</h2>
                <VersionTree chainName={name} versions={versions} onVersion={onVersion} />
              </div>
            ))}
          </div>
          <CompareVersions book={book} />
        </section>
      )}
    </>
  )
}
