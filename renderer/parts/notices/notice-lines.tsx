// Failures and long notices, each on its own line between the place and the transport, so that they
// cover nothing.

import { dismissNotice, isBrief, type Notice, useNotices } from '../../state/notices.ts'
import { Button } from '../button.tsx'
import { CloseSign } from '../signs.tsx'
import { useNoticeLife } from './use-notice-life.ts'

/** Failures and long notices, one line each, until they are dismissed or expire. */
export const NoticeLines = () => (
  <section className="notice-lines" aria-label="Notices">
    {useNotices()
      .filter((notice) => !isBrief(notice))
      .map((notice) => (
        <NoticeLine key={notice.id} notice={notice} />
      ))}
  </section>
)

const NoticeLine = ({ notice }: { notice: Notice }) => (
  <div
    className={`notice notice-${notice.kind}`}
    role={notice.kind === 'failure' ? 'alert' : 'status'}
    {...useNoticeLife(notice)}
  >
    <p className="notice-words">
      <strong>{notice.title}.</strong> {notice.sentences.join(' ')}
    </p>
    <Button look="sign" aria-label={`Dismiss: ${notice.title}`} onPress={() => dismissNotice(notice.id)}>
      <CloseSign />
    </Button>
  </div>
)
