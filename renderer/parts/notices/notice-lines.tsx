// Failures and long remarks between the place and the transport, where they cover nothing. Several failures
// share one line, which opens on request, so that they do not push the place out of view.

import { useState } from 'react'
import { countOf } from '../../../app/words/numbers.ts'
import { dismissFailures, dismissNotice, isBrief, type Notice, useNotices } from '../../state/notices.ts'
import { Button } from '../button.tsx'
import { CloseSign } from '../signs.tsx'
import { useNoticeLife } from './use-notice-life.ts'
import './notice-lines.css'

/** At most two lines: the last long remark, and the failures. */
export function NoticeLines() {
  const notices = useNotices().filter((notice) => !isBrief(notice))
  const failures = notices.filter(({ kind }) => kind === 'failure')
  return (
    <section className="notice-lines" aria-label="Notices">
      {notices
        .filter(({ kind }) => kind === 'remark')
        .map((notice) => (
          <NoticeLine key={notice.id} notice={notice} />
        ))}
      {failures.length === 1 ? <NoticeLine key={failures[0].id} notice={failures[0]} /> : null}
      {failures.length > 1 ? <Problems failures={failures} /> : null}
    </section>
  )
}

const NoticeLine = ({ notice }: { notice: Notice }) => (
  <div
    className={`notice notice-${notice.kind}`}
    role={notice.kind === 'failure' ? 'alert' : 'status'}
    {...useNoticeLife(notice)}
  >
    <NoticeWords notice={notice} />
    <DismissButton notice={notice} />
  </div>
)

const NoticeWords = ({ notice: { title, sentences, times } }: { notice: Notice }) => (
  <p className="notice-words">
    <strong>{title}.</strong> {sentences.join(' ')}
    {times === 1 ? null : <span className="soft"> {times} times</span>}
  </p>
)

const DismissButton = ({ notice }: { notice: Notice }) => (
  <Button look="sign" aria-label={`Dismiss: ${notice.title}`} onPress={() => dismissNotice(notice.id)}>
    <CloseSign />
  </Button>
)

/** Several failures: their number and as much of the newest as fits the line, or all of them, newest first. */
function Problems({ failures }: { failures: readonly Notice[] }) {
  const [isOpen, setOpen] = useState(false)
  const newest = failures[failures.length - 1]
  return (
    <>
      {isOpen ? (
        <ul className="notice-list" aria-label="Problems">
          {failures.toReversed().map((notice) => (
            <li key={notice.id} className="notice notice-failure">
              <NoticeWords notice={notice} />
              <DismissButton notice={notice} />
            </li>
          ))}
        </ul>
      ) : null}
      <div className="notice notice-failure">
        <p className="notice-words notice-sum" role="alert">
          <strong>{countOf(failures.length, 'problem')}.</strong>{' '}
          {isOpen ? '' : `Last: ${newest.title}. ${newest.sentences.join(' ')}`}
        </p>
        <Button look="plain" aria-expanded={isOpen} onPress={() => setOpen(!isOpen)}>
          {isOpen ? 'Hide' : 'Show'}
        </Button>
        <Button look="plain" onPress={dismissFailures}>
          Dismiss all
        </Button>
      </div>
    </>
  )
}
