// What a place says while it has nothing to show, and what to do about it.

import type { ReactNode } from 'react'
import './empty-state.css'

/** A title with an explanation or a button below it. */
export const EmptyState = ({ title, children }: { title: string; children?: ReactNode }) => (
  <div className="empty-state">
    <h2>{title}</h2>
    {children}
  </div>
)
