// Ledger: history of the catalogue by day, and every bounce with a button to verify it.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { BounceRecord, LedgerEntry } from '../../../app/contract/entities.ts'
import { MAX_LEDGER_ENTRIES } from '../../../app/contract/text/limits.ts'
import { ledgerWords } from '../../../app/words/ledger.ts'
import { countOf } from '../../../app/words/numbers.ts'
import { formatDate, formatTimeOfDay, isoDateOf } from '../../formats/format.ts'
import { VerifyBounce } from '../../panels/bounce/verify-bounce.tsx'
import { Button } from '../../parts/button.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { Select } from '../../parts/fields/select.tsx'
import { artistsQuery, bouncesQuery, ledgerQuery } from '../../state/queries.ts'
import { goTo, selectSession, useSelection } from '../../state/selection.ts'
import { RecallSheet } from './recall-sheet.tsx'
import './ledger.css'

const PAGE = 200

/** Ledger of the catalogue, optionally of one artist. */
export function LedgerPlace() {
  const artists = useQuery(artistsQuery).data ?? []
  const [artistId, setArtistId] = useState<number | null>(null)
  const [limit, setLimit] = useState(PAGE)
  const ledger = useQuery(ledgerQuery(artistId ?? undefined, limit))
  const bounces = useQuery(bouncesQuery(artistId === null ? {} : { artistId })).data ?? []
  const entries = ledger.data ?? []
  const { sessionId } = useSelection()
  const [recalled, setRecalled] = useState<number | null>(null)

  return (
    <div className="ledger-place">
      {recalled === null ? null : <RecallSheet sessionId={recalled} onClose={() => setRecalled(null)} />}
      <section className="ledger-history" aria-label="History">
        <div className="ledger-head">
          <h2>History</h2>
          {sessionId === null ? null : (
            <Button className="ledger-recall" onPress={() => setRecalled(sessionId)}>
              Recall sheet for this session
            </Button>
          )}
          <Select
            label="Artist"
            isLabelHidden
            items={artists.map(({ id, name }) => ({ key: id, name }))}
            none="All artists"
            value={artistId}
            onChange={(key) => {
              setArtistId(key)
              setLimit(PAGE)
            }}
          />
        </div>
        {ledger.error === null ? null : <p className="ledger-failure">{ledger.error.message}</p>}
        {ledger.isSuccess && entries.length === 0 ? (
          <EmptyState title="No entries yet">
            <p>Sessions, imported takes, saved chains and bounces are recorded here automatically.</p>
          </EmptyState>
        ) : null}
        <History entries={entries} onRecall={setRecalled} />
        {entries.length === limit && limit < MAX_LEDGER_ENTRIES ? (
          <Button className="ledger-more" onPress={() => setLimit(Math.min(MAX_LEDGER_ENTRIES, limit * 4))}>
            Show earlier entries
          </Button>
        ) : null}
      </section>
      <section className="ledger-bounces" aria-label="Bounces">
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

interface LedgerLineProps extends Pick<HistoryProps, 'onRecall'> {
  readonly entry: LedgerEntry
}

interface HistoryProps {
  readonly entries: readonly LedgerEntry[]
  readonly onRecall: (sessionId: number) => void
}

/** Entries by day, newest first. */
function History({ entries, onRecall }: HistoryProps) {
  const days = Map.groupBy(entries, (entry) => isoDateOf(entry.at))
  return [...days].map(([day, lines]) => (
    <section key={day} className="ledger-day" aria-label={formatDate(day)}>
      <h3>{formatDate(day)}</h3>
      <ul>
        {lines.map((entry, index) => (
          // Entries have no id. They are read-only, so the index works as a key.
          // biome-ignore lint/suspicious/noArrayIndexKey: see above
          <LedgerLine key={index} entry={entry} onRecall={onRecall} />
        ))}
      </ul>
    </section>
  ))
}

function LedgerLine({ entry, onRecall }: LedgerLineProps) {
  const { kind, subject, detail } = ledgerWords(entry)
  return (
    <li className="ledger-line">
      <span className="ledger-time number soft">{formatTimeOfDay(entry.at)}</span>
      <span className="ledger-kind soft">{kind}</span>
      <span className="ledger-what">
        <strong>{subject}</strong>
        <span className="soft"> {entry.artistName}</span>
        {detail === '' ? null : <span className="ledger-detail">{detail}</span>}
      </span>
      {entry.sessionId === null ? null : (
        <LineActs kind={entry.kind} subject={subject} sessionId={entry.sessionId} onRecall={onRecall} />
      )}
    </li>
  )
}

const BounceEntry = ({ bounce }: { bounce: BounceRecord }) => (
  <article className="bounce-entry">
    <h3>{bounce.songTitle}</h3>
    <p className="soft">
      {bounce.artistName}
      <br />
      {formatDate(isoDateOf(bounce.createdAt))} {formatTimeOfDay(bounce.createdAt)},{' '}
      {countOf(bounce.stems, 'stem')}
    </p>
    <p className="bounce-path">{bounce.manifestPath}</p>
    <VerifyBounce
      manifestPath={bounce.manifestPath}
      name={`the bounce of ${bounce.songTitle}, ${formatDate(isoDateOf(bounce.createdAt))}`}
    />
  </article>
)

interface LineActsProps extends Pick<HistoryProps, 'onRecall'> {
  readonly kind: LedgerEntry['kind']
  readonly subject: string
  readonly sessionId: number
}

/**
 * Opens the session of an entry: in Intake for an imported take, otherwise in Stack. All entries but
 * imported takes also have a button for the recall sheet.
 */
const LineActs = ({ kind, subject, sessionId, onRecall }: LineActsProps) => (
  <span className="ledger-acts">
    <Button
      look="plain"
      aria-label={`Open session of ${subject}`}
      onPress={() => {
        selectSession(sessionId)
        goTo(kind === 'take-imported' ? 'intake' : 'stack')
      }}
    >
      Open session
    </Button>
    {kind === 'take-imported' ? null : (
      <Button look="plain" aria-label={`Recall sheet of ${subject}`} onPress={() => onRecall(sessionId)}>
        Recall sheet
      </Button>
    )}
  </span>
)
