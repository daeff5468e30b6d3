// Stack: groups and their layers on one time axis, laid out like a score.

import type { SessionContents } from '../../../app/contract/entities.ts'
import { useIsImporting } from '../../acts/batch-acts.ts'
import { CurrentSession } from '../../panels/session/current-session.tsx'
import { Button } from '../../parts/button.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { goTo } from '../../state/selection.ts'
import { StackScore } from './stack-score.tsx'
import './stack.css'
import './one-line-rows.css'

/** Stack of the current session. */
export function StackPlace() {
  return (
    <CurrentSession>{(contents) => <StackOf key={contents.session.id} contents={contents} />}</CurrentSession>
  )
}

function StackOf({ contents }: { contents: SessionContents }) {
  const isImporting = useIsImporting(contents.session.id)
  if (contents.takes.length > 0 || contents.layers.length > 0) return <StackScore contents={contents} />
  if (isImporting) {
    return (
      <EmptyState title="Importing takes">
        <p>Each take is measured first; the layers appear here.</p>
      </EmptyState>
    )
  }
  return (
    <EmptyState title="No layers yet">
      <p>Import takes first, then place them as lead, doubles and ad-libs.</p>
      <Button look="main" onPress={() => goTo('intake')}>
        Go to Intake
      </Button>
    </EmptyState>
  )
}
