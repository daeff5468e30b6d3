// Stack: groups and their layers on one time axis, laid out like a score.

import type { SessionContents } from '../../../app/contract/entities.ts'
import { Button } from '../../parts/button.tsx'
import { EmptyState } from '../../parts/empty-state.tsx'
import { useCurrentSession } from '../../state/queries.ts'
import { goTo } from '../../state/selection.ts'
import { StackScore } from './stack-score.tsx'
import './stack.css'

/** Stack of the current session. */
export function StackPlace() {
  const { data, error } = useCurrentSession()
  if (error !== null) {
    return (
      <EmptyState title="Could not open the session">
        <p>{error.message}</p>
      </EmptyState>
    )
  }
  if (data === undefined) return <EmptyState title="Opening session…" />
  return <StackOf key={data.session.id} contents={data} />
}

function StackOf({ contents }: { contents: SessionContents }) {
  if (contents.takes.length > 0 || contents.layers.length > 0) return <StackScore contents={contents} />
  return (
    <EmptyState title="No layers yet">
      <p>Import takes first, then place them as lead, doubles and ad-libs.</p>
      <Button look="main" onPress={() => goTo('intake')}>
        Go to Intake
      </Button>
    </EmptyState>
  )
}
