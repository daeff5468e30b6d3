// Where a session has no chain yet: one button that gives it the sound of the voice's last session.

import { useQuery } from '@tanstack/react-query'
import { useState } from 'react'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { formatDate } from '../../../app/words/format.ts'
import { planRecall, recallSummary } from '../../formats/recall/plan-recall.ts'
import { Button } from '../../parts/button.tsx'
import { earlierSessionsQuery, sessionContentsQuery } from '../../state/queries.ts'
import { RecallDialog } from './recall-dialog.tsx'
import './recall.css'

/** Whether a chain is missing where layers are. */
function lacksChain({ session, groups, layers }: SessionContents): boolean {
  if (session.chainSharing === 'shared') return session.sharedChainVersionId === null
  const used = groups.filter(({ id }) => layers.some((layer) => layer.groupId === id))
  return (used.length === 0 ? groups : used).some(({ chainVersionId }) => chainVersionId === null)
}

/** 'As on 27 November: Rap main, version 2, gains, pans'; nothing where there is nothing to take over. */
export function RecallLine({
  contents,
  look = 'ruled',
}: {
  contents: SessionContents
  look?: 'ruled' | 'main'
}) {
  const { session } = contents
  const isWanted = lacksChain(contents)
  const latest = useQuery({ ...earlierSessionsQuery(session.id), enabled: isWanted }).data?.[0]
  const then = useQuery({ ...sessionContentsQuery(latest?.id ?? 0), enabled: latest !== undefined }).data
  const [isOpen, setOpen] = useState(false)
  if (!isWanted || latest === undefined || then === undefined) return null
  const { steps } = planRecall(contents, then)
  if (steps.length === 0) return null
  return (
    <div className="recall-line">
      <Button look={look} onPress={() => setOpen(true)}>
        As on {formatDate(latest.date)}: {recallSummary(steps)}
      </Button>
      {isOpen ? (
        <RecallDialog contents={contents} fromSessionId={latest.id} onClose={() => setOpen(false)} />
      ) : null}
    </div>
  )
}
