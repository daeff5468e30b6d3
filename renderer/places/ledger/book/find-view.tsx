// Search over everything: artists, songs, notes, takes, stages, mics. A line opens what it names.

import { useQuery } from '@tanstack/react-query'
import { useDeferredValue, useRef, useState } from 'react'
import { Header, ListBox, ListBoxItem, ListBoxSection } from 'react-aria-components'
import type { FoundThing } from '../../../../app/contract/book/found-thing.ts'
import { FOUND_KINDS, foundWords } from '../../../formats/book/found-words.ts'
import { EmptyState } from '../../../parts/empty-state.tsx'
import { SearchField } from '../../../parts/fields/search-field.tsx'
import { everythingQuery, MOST_FOUND } from '../../../state/queries.ts'
import { goTo } from '../../../state/selection.ts'
import type { ShownVersion } from '../versions/chain-version-dialog.tsx'
import { showBounce } from './book-desk.ts'
import { openBook, openSession, openTake } from './open-things.ts'
import './find.css'

type Kind = FoundThing['kind']

export function FindView({ onVersion }: { onVersion: (version: ShownVersion) => void }) {
  const [search, setSearch] = useState('')
  const sought = useDeferredValue(search.trim())
  const { data, error } = useQuery({ ...everythingQuery(sought), enabled: sought !== '' })
  const view = useRef<HTMLDivElement>(null)
  const found = sought === '' ? [] : (data ?? [])
  const keyed = new Map(found.map((thing) => [`${thing.kind} ${thing.id}`, thing]))
  const kinds = (Object.keys(FOUND_KINDS) as Kind[]).filter((kind) => found.some((one) => one.kind === kind))
  return (
    <div className="find-view" ref={view}>
      <SearchField
        label="Search everything"
        isLabelHidden
        placeholder="Artist, song, note, take, stage, mic"
        autoFocus={false}
        typed={{
          text: search,
          onChange: setSearch,
          onDown: () => view.current?.querySelector<HTMLElement>('[role="option"]')?.focus(),
        }}
      />
      {error === null ? null : <p className="ledger-failure">{error.message}</p>}
      {sought !== '' && data !== undefined && found.length === 0 ? (
        <EmptyState title="No matches">
          <p>Try fewer letters. Each word has to begin a word.</p>
        </EmptyState>
      ) : null}
      {found.length === 0 ? null : (
        <ListBox
          className="find-list"
          aria-label="Found"
          onAction={(key) => {
            const thing = keyed.get(String(key))
            if (thing !== undefined) open(thing, onVersion)
          }}
        >
          {kinds.map((kind) => (
            <ListBoxSection key={kind} id={kind}>
              <Header className="find-kind">{FOUND_KINDS[kind]}</Header>
              {found
                .filter((thing) => thing.kind === kind)
                .map((thing) => (
                  <FoundLine key={thing.id} thing={thing} />
                ))}
            </ListBoxSection>
          ))}
        </ListBox>
      )}
      {kinds.some((kind) => found.filter((thing) => thing.kind === kind).length === MOST_FOUND) ? (
        <p className="soft">
          At most {MOST_FOUND} of each kind are shown, the newest. Type more to narrow it.
        </p>
      ) : null}
    </div>
  )
}

function FoundLine({ thing }: { thing: FoundThing }) {
  const { name, where } = foundWords(thing)
  const words = [name, where, thing.excerpt].filter((one) => one !== '')
  return (
    <ListBoxItem id={`${thing.kind} ${thing.id}`} className="find-line" textValue={words.join(', ')}>
      <strong>{name}</strong> <span className="soft">{words.slice(1).join(' · ')}</span>
    </ListBoxItem>
  )
}

function open(thing: FoundThing, onVersion: (version: ShownVersion) => void): void {
  switch (thing.kind) {
    case 'session':
      openSession(thing.id)
      return
    case 'bounce':
      showBounce(thing.id)
      return
    case 'voice':
      openBook(thing.id)
      return
    case 'chain-version':
      onVersion({ chainId: thing.chainId, chainVersionId: thing.id, sessionId: thing.sessionId })
      return
    case 'mic':
      goTo('mics')
      return
    case 'take':
      if (thing.sessionId !== null) openTake(thing.sessionId, thing.id)
  }
}
