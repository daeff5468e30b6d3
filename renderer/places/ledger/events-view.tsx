// Events of the Ledger: history of the catalogue by session, and every bounce with a button to verify it.

import { useQuery } from '@tanstack/react-query'
import { useDeferredValue, useEffect, useMemo, useRef, useState } from 'react'
import type { BounceRecord } from '../../../app/contract/entities.ts'
import { MAX_LEDGER_ENTRIES } from '../../../app/contract/text/limits.ts'
import { formatDate, formatTimeOfDay, isoDateOf } from '../../../app/words/format.ts'
import { partWords } from '../../../app/words/ledger.ts'
import { countOf } from '../../../app/words/numbers.ts'
import type { EntryTarget } from '../../formats/ledger/entry-target.ts'
import { foldLedger, LEDGER_FILTERS, type LedgerFilter } from '../../formats/ledger/fold-ledger.ts'
import { ArchiveDialog } from '../../panels/archive/archive-dialog.tsx'
import { VerifyBounce } from '../../panels/bounce/verify-bounce.tsx'
import { RecallDialog } from '../../panels/session/recall-dialog.tsx'
import { Button } from '../../parts/button.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { SearchField } from '../../parts/fields/search-field.tsx'
import { Select } from '../../parts/fields/select.tsx'
import {
  artistsQuery,
  bouncesQuery,
  ledgerQuery,
  sessionChainsQuery,
  sessionsQuery,
  useCurrentSession,
} from '../../state/queries.ts'
import { showRestore } from '../../state/restore-dialog.ts'
import { useSelection } from '../../state/selection.ts'
import { bounceWasShown, showBounce, useBookDesk } from './book/book-desk.ts'
import { DeliveredDialog, type DeliveredEntry } from './book/delivered-dialog.tsx'
import { openBook, openSession, openTake } from './book/open-things.ts'
import { LedgerTree } from './ledger-tree.tsx'
import { RecallSheet } from './recall-sheet.tsx'
import type { ShownVersion } from './versions/chain-version-dialog.tsx'
import './ledger.css'

/** When a search finds more lines, its sessions stay folded: nobody reads more, and building them takes time. */
const MOST_UNFOLDED = 400

const FILTER_NAMES: Readonly<Record<LedgerFilter, string>> = {
  sessions: 'Sessions',
  takes: 'Imported takes',
  chains: 'Chains',
  bounces: 'Bounces',
  people: 'Artists, voices, songs',
}

/** Events of the catalogue, optionally of one artist. */
export function EventsView({ onVersion }: { onVersion: (version: ShownVersion) => void }) {
  const artists = useQuery(artistsQuery).data ?? []
  const [artistId, setArtistId] = useState<number | null>(null)
  const [search, setSearch] = useState('')
  // Typing does not wait for the list.
  const sought = useDeferredValue(search)
  const [filter, setFilter] = useState<LedgerFilter | null>(null)
  const ledger = useQuery(ledgerQuery(artistId ?? undefined, MAX_LEDGER_ENTRIES))
  const sessions = useQuery(sessionsQuery).data
  const chains = useQuery(sessionChainsQuery).data
  const bounces = useQuery(bouncesQuery(artistId === null ? {} : { artistId })).data ?? []
  const current = useCurrentSession().data
  const { sessionId } = useSelection()
  const [recalled, setRecalled] = useState<number | null>(null)
  const [usedFrom, setUsedFrom] = useState<number | null>(null)
  const [isArchiving, setArchiving] = useState(false)
  const [delivery, setDelivery] = useState<DeliveredEntry | null>(null)
  const history = useRef<HTMLElement>(null)
  const folds = useMemo(
    () => foldLedger(ledger.data ?? [], sessions ?? [], chains ?? [], sought, filter),
    [ledger.data, sessions, chains, sought, filter],
  )

  const open = (target: EntryTarget): void => {
    if (target.to === 'version') onVersion(target)
    else if (target.to === 'take') openTake(target.sessionId, target.takeId)
    else if (target.to === 'session') openSession(target.sessionId)
    else if (target.to === 'bounce') showBounce(target.bounceId)
    else if (target.to === 'delivery') setDelivery(target.delivery)
    else openBook(target.voiceId)
  }
  const { bounceId } = useBookDesk()
  const bounceList = useRef<HTMLElement>(null)
  const isListed = bounces.some(({ id }) => id === bounceId)
  useEffect(() => {
    if (bounceId === null || !isListed) return
    bounceList.current?.querySelector<HTMLElement>(`[data-bounce="${bounceId}"]`)?.focus()
    bounceWasShown()
  }, [bounceId, isListed])

  return (
    <div className="ledger-events">
      {delivery === null ? null : <DeliveredDialog delivery={delivery} onClose={() => setDelivery(null)} />}
      {recalled === null ? null : <RecallSheet sessionId={recalled} onClose={() => setRecalled(null)} />}
      {usedFrom === null || current === undefined ? null : (
        <RecallDialog contents={current} fromSessionId={usedFrom} onClose={() => setUsedFrom(null)} />
      )}
      {isArchiving && current !== undefined ? (
        <ArchiveDialog session={current.session} onClose={() => setArchiving(false)} />
      ) : null}
      <section className="ledger-history" aria-label="History" ref={history}>
        <div className="ledger-head">
          <h2>History</h2>
          <SearchField
            label="Search the history"
            isLabelHidden
            placeholder="Artist, song, take, chain, note"
            autoFocus={false}
            typed={{
              text: search,
              onChange: setSearch,
              onDown: () => history.current?.querySelector<HTMLElement>('[role="row"]')?.focus(),
            }}
          />
          <Select
            className="ledger-filter"
            label="Kind"
            isLabelHidden
            items={LEDGER_FILTERS.map((key) => ({ key, name: FILTER_NAMES[key] }))}
            none="All kinds"
            value={filter}
            onChange={setFilter}
          />
          <Select
            className="ledger-artist"
            label="Artist"
            isLabelHidden
            items={artists.map(({ id, name }) => ({ key: id, name }))}
            none="All artists"
            value={artistId}
            onChange={setArtistId}
          />
          {sessionId === null ? null : (
            <Button aria-label="Recall sheet for this session" onPress={() => setRecalled(sessionId)}>
              Recall sheet
            </Button>
          )}
          {current === undefined ? null : (
            <Button onPress={() => setArchiving(true)}>Archive session…</Button>
          )}
          <Button onPress={showRestore}>Restore from an archive…</Button>
        </div>
        {ledger.error === null ? null : <p className="ledger-failure">{ledger.error.message}</p>}
        {ledger.data?.length === MAX_LEDGER_ENTRIES ? (
          <p className="ledger-cut soft">
            The newest {MAX_LEDGER_ENTRIES} entries are shown. Choose an artist for earlier ones.
          </p>
        ) : null}
        {ledger.isSuccess && folds.length === 0 ? (
          ledger.data.length === 0 ? (
            <EmptyState title="No entries yet">
              <p>Sessions, imported takes, saved chains and bounces are recorded here automatically.</p>
            </EmptyState>
          ) : (
            <EmptyState title="No matches">
              <p>Try fewer letters, or show all kinds and all artists.</p>
            </EmptyState>
          )
        ) : (
          <LedgerTree
            folds={folds}
            isUnfolded={
              (sought.trim() !== '' || filter !== null) &&
              folds.reduce((sum, fold) => sum + fold.entries, 0) <= MOST_UNFOLDED
            }
            canUseChains={current !== undefined}
            onRecall={setRecalled}
            onUseChains={setUsedFrom}
            onOpen={open}
          />
        )}
      </section>
      <section className="ledger-bounces" aria-label="Bounces" ref={bounceList}>
        <div className="ledger-head">
          <h2>Bounces</h2>
        </div>
        {bounces.length === 0 ? (
          <p className="soft">
            No bounces yet. Bounce from Stack; each bounce is listed here with its manifest.
          </p>
        ) : null}
        {bounces.map((bounce) => (
          <BounceEntry key={bounce.id} bounce={bounce} />
        ))}
      </section>
    </div>
  )
}

const BounceEntry = ({ bounce }: { bounce: BounceRecord }) => (
  <article className="bounce-entry" data-bounce={bounce.id} tabIndex={-1}>
    <h3>{partWords(bounce)}</h3>
    <p className="soft">
      {bounce.artistName}
      <br />
      {formatDate(isoDateOf(bounce.createdAt))} {formatTimeOfDay(bounce.createdAt)},{' '}
      {countOf(bounce.stems, 'stem')}
    </p>
    <p className="bounce-path">{bounce.manifestPath}</p>
    <Button
      look="plain"
      aria-label={`Open the session of the bounce of ${partWords(bounce)}, ${formatDate(isoDateOf(bounce.createdAt))}`}
      onPress={() => openSession(bounce.sessionId)}
    >
      Open session
    </Button>
    <VerifyBounce
      manifestPath={bounce.manifestPath}
      name={`the bounce of ${partWords(bounce)}, ${formatDate(isoDateOf(bounce.createdAt))}`}
    />
  </article>
)
