// The session that is selected in a voice's book, with the way to everything in it.

import type { BookSession } from '../../../../app/contract/book/voice-book.ts'
import { formatDate, formatMoment } from '../../../../app/words/format.ts'
import { countOf } from '../../../../app/words/numbers.ts'
import { unusualSentences } from '../../../formats/book/figure-words.ts'
import { versionNumber } from '../../../formats/chain/version-words.ts'
import { VerifyBounce } from '../../../panels/bounce/verify-bounce.tsx'
import { Button } from '../../../parts/button.tsx'
import { goTo, selectSession, selectTake } from '../../../state/selection.ts'
import type { ShownVersion } from '../versions/chain-version-dialog.tsx'

export interface SessionLinesProps {
  readonly session: BookSession
  readonly before: BookSession | undefined
  readonly onVersion: (version: ShownVersion) => void
}

export function SessionLines({ session, before, onVersion }: SessionLinesProps) {
  const { sessionId, date, songTitle, mic, takes, takesLeftOut, chains, bounces } = session
  const unusual = unusualSentences(session, before)
  return (
    <section className="book-session" aria-label="Selected session">
      <div className="book-session-head">
        <h3>
          {songTitle}, {formatDate(date)}
        </h3>
        <Button look="plain" aria-label={`Open session of ${songTitle}`} onPress={() => open(sessionId)}>
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
              onPress={() => open(sessionId, id)}
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
      </dl>
    </section>
  )
}

/** Opens a session in Stack, or one of its takes in Intake. */
function open(sessionId: number, takeId?: number): void {
  selectSession(sessionId)
  if (takeId === undefined) {
    goTo('stack')
    return
  }
  selectTake(takeId)
  goTo('intake')
}
