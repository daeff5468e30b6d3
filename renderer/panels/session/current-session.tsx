// Loads the current session for the places that show it.

import type { ReactNode } from 'react'
import type { SessionContents } from '../../../app/contract/entities.ts'
import { EmptyState } from '../../parts/empty-state.tsx'
import { useCurrentSession } from '../../state/queries.ts'

/** Shows the current session once it is loaded, or why it cannot be. */
export function CurrentSession({ children }: { children: (contents: SessionContents) => ReactNode }) {
  const { data, error } = useCurrentSession()
  if (error !== null) {
    return (
      <EmptyState title="Could not open the session">
        <p>{error.message}</p>
      </EmptyState>
    )
  }
  if (data === undefined) return <EmptyState title="Opening session…" />
  return children(data)
}
