// What a place shows when it has no content.

import type { ReactNode } from 'react'
import './empty-state.css'

/** A title with an explanation or a button below it. */
export const EmptyState = ({ title, children }: { title: string; children?: ReactNode }) => (
  <div className="empty-state">
    <h2>{title}</h2>
    {children}
  </div>
)
