// A progress bar.

import { ProgressBar } from 'react-aria-components'
import './progress.css'

/** A progress bar; `fraction` runs from 0 to 1. */
export const Progress = ({ label, fraction }: { label: string; fraction: number }) => (
  <ProgressBar className="progress" aria-label={label} value={Math.round(fraction * 100)}>
    {({ percentage }) => (
      <div className="progress-track">
        <div className="progress-fill" style={{ width: `${percentage ?? 0}%` }} />
      </div>
    )}
  </ProgressBar>
)
