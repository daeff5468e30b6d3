// The session that is selected in a voice's book, with the way to everything in it.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { BookSession } from '../../../../app/contract/book/voice-book.ts'
import type { DeliveryRecord } from '../../../../app/contract/delivery/delivery-record.ts'
import { versionWord } from '../../../../app/words/deliveries.ts'
import { formatDate, formatMoment } from '../../../../app/words/format.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { unusualSentences } from '../../../formats/book/figure-words.ts'
import { versionNumber } from '../../../formats/chain/version-words.ts'
import { VerifyBounce } from '../../../panels/bounce/verify-bounce.tsx'
import { Button } from '../../../parts/button.tsx'
import { deliveriesQuery } from '../../../state/queries.ts'
import type { ShownVersion } from '../versions/chain-version-dialog.tsx'
import { DeliveredDialog } from './delivered-dialog.tsx'
import { openSession, openTake } from './open-things.ts'

export interface SessionLinesProps {
  readonly session: BookSession
  readonly before: BookSession | undefined
  readonly onVersion: (version: ShownVersion) => void
}

export function SessionLines({ session, before, onVersion }: SessionLinesProps) {
  const { sessionId, date, songTitle, mic, takes, takesLeftOut, chains, bounces } = session
  const deliveries = useQuery(deliveriesQuery(sessionId)).data ?? []
  const [delivery, setDelivery] = useState<DeliveryRecord | null>(null)
  const unusual = unusualSentences(session, before)
  return (
    <section className="book-session" aria-label="Selected session">
      <div className="book-session-head">
        <h3>
          {songTitle}, {formatDate(date)}
        </h3>
        <Button
          look="plain"
          aria-label={`Open session of ${songTitle}`}
          onPress={() => openSession(sessionId)}
        >
          Open session
        </Button>
      </div>
      {unusual.length === 0 ? null : (
        <ul className="book-unusual">
          {unusual.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
      <dl className="book-lines">
        <dt>Mic</dt>
        <dd>
          {mic === null
            ? 'Not known. Set it in Intake to compare with other sessions.'
            : `${mic.name}, ${session.isMicTakenOut ? 'its response taken out of the balances' : 'without a curve: the balances are compared only with sessions on this mic'}`}
        </dd>
        <dt>{countOf(takes.length, 'take')}</dt>
        <dd>
          {takes.map(({ id, name }) => (
            <Button
              key={id}
              look="plain"
              aria-label={`Open take ${name}`}
              onPress={() => openTake(sessionId, id)}
            >
              {name}
            </Button>
          ))}
          {takesLeftOut === 0 ? null : (
            <span className="soft">
              {countOf(takesLeftOut, 'take')} not in the figures: not enough voice, not analysed, or on
              another mic.
            </span>
          )}
        </dd>
        <dt>Chains</dt>
        <dd>
          {chains.length === 0 ? <span className="soft">None of this voice in use.</span> : null}
          {chains.map(({ chainVersionId, chainId, chainName, ...version }) => (
            <Button
              key={chainVersionId}
              look="plain"
              onPress={() => onVersion({ chainId, chainVersionId, sessionId })}
            >
              {chainName}, version {versionNumber(version)}
            </Button>
          ))}
        </dd>
        <dt>Bounces</dt>
        <dd className="book-bounces">
          {bounces.length === 0 ? <span className="soft">None yet.</span> : null}
          {bounces.map(({ id, manifestPath, createdAt }) => (
            <div key={id}>
              <span className="soft">{formatMoment(createdAt)}</span>{' '}
              <span className="bounce-path">{manifestPath}</span>
              <VerifyBounce
                manifestPath={manifestPath}
                name={`the bounce of ${songTitle}, ${formatMoment(createdAt)}`}
              />
            </div>
          ))}
        </dd>
        <dt>Deliveries</dt>
        <dd className="book-bounces">
          {deliveries.length === 0 ? <span className="soft">None yet.</span> : null}
          {deliveries.map((delivery) => (
            <div key={delivery.id}>
              <span className="soft">{formatMoment(delivery.createdAt)}</span>{' '}
              <Button
                look="plain"
                aria-label={`Open delivery ${versionWord(delivery.number)} of ${songTitle}`}
                onPress={() => setDelivery(delivery)}
              >
                {versionWord(delivery.number)}
              </Button>{' '}
              <span className="bounce-path">{delivery.folder}</span>
            </div>
          ))}
        </dd>
      </dl>
      {delivery === null ? null : (
        <DeliveredDialog
          delivery={{ ...delivery, at: delivery.createdAt }}
          onClose={() => setDelivery(null)}
        />
      )}
    </section>
  )
}
