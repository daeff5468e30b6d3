// What a place says while it has nothing to show, and what to do about it.

import type { ReactNode } from 'react'
import './empty-state.css'

export const EmptyState = ({ title, children }: { title: string; children?: ReactNode }) => (
  <div className="empty-state">
    <h2>{title}</h2>
    {children}
  </div>
)
