// The line beside the transport: the progress of a running task, else the latest brief notice, else
// the status of the transport.

import type { ReactNode } from 'react'
import {
  type BackgroundTask,
  isBrief,
  type Notice,
  useBackgroundTasks,
  useNotices,
} from '../../state/notices.ts'
import { Button } from '../button.tsx'
import { Progress } from '../progress.tsx'
import { CloseSign } from '../signs.tsx'
import { useNoticeLife } from './use-notice-life.ts'
import './message-line.css'

/** Shows the first running task, else the latest brief notice, else `children`. */
export function MessageLine({ children }: { children: ReactNode }) {
  const [act, ...further] = useBackgroundTasks()
  const news = useNotices().find(isBrief)
  return (
    <div className="message-line">
      {act !== undefined ? (
        <BackgroundTaskLine act={act} further={further.length} />
      ) : news !== undefined ? (
        <News key={news.id} notice={news} />
      ) : (
        children
      )}
    </div>
  )
}

function BackgroundTaskLine({ act, further }: { act: BackgroundTask; further: number }) {
  const doing = act.isCancelling ? 'Cancelling…' : act.doing === '' ? 'Starting…' : act.doing
  return (
    <div className="message-act">
      <span className="message-title" title={act.title} role="status">
        {act.title}
      </span>
      <Button
        look="sign"
        aria-label={`Cancel: ${act.title}`}
        onPress={act.cancel}
        isDisabled={act.isCancelling}
      >
        <CloseSign />
      </Button>
      <Progress label={act.title} fraction={act.fraction} />
      <span className="message-doing soft" title={doing}>
        {doing}
        {further === 0 ? '' : `, ${further} more running`}
      </span>
    </div>
  )
}

function News({ notice }: { notice: Notice }) {
  const words = [notice.title, ...notice.sentences].map((words) => words.replace(/\.$/, '')).join('. ')
  return (
    <p className="message-words message-news" role="status" title={words} {...useNoticeLife(notice)}>
      {words}
    </p>
  )
}
