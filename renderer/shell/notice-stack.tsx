// Long acts with their progress, and what there is to say about acts that ended.

import { Button } from '../parts/button.tsx'
import { Progress } from '../parts/progress.tsx'
import { CloseSign } from '../parts/signs.tsx'
import { dismissNotice, useLongActs, useNotices } from '../state/notices.ts'

export function NoticeStack() {
  const notices = useNotices()
  const longActs = useLongActs()
  return (
    <section className="notice-stack" aria-label="Notices" aria-live="polite">
      {longActs.map((act) => (
        <div key={act.id} className="notice">
          <span className="notice-title">{act.title}</span>
          <Button look="plain" onPress={act.cancel} isDisabled={act.isCancelling}>
            {act.isCancelling ? 'Cancelling' : 'Cancel'}
          </Button>
          <div className="notice-body">
            <Progress label={act.title} fraction={act.fraction} />
            <span className="soft">{act.doing === '' ? 'Starting' : act.doing}</span>
          </div>
        </div>
      ))}
      {notices.map((notice) => (
        <div
          key={notice.id}
          className={`notice notice-${notice.kind}`}
          role={notice.kind === 'failure' ? 'alert' : 'status'}
        >
          <span className="notice-title">{notice.title}</span>
          <Button
            look="sign"
            aria-label={`Dismiss: ${notice.title}`}
            onPress={() => dismissNotice(notice.id)}
          >
            <CloseSign />
          </Button>
          {notice.sentences.map((sentence) => (
            <p key={sentence} className="notice-body">
              {sentence}
            </p>
          ))}
        </div>
      ))}
    </section>
  )
}
