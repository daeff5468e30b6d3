// Icon buttons that are on or off.

import type { ReactNode } from 'react'
import { ToggleButton } from 'react-aria-components'
import '../button.css'

export interface ToggleProps {
  readonly label: string
  readonly isSelected: boolean
  readonly onChange: (isSelected: boolean) => void
  readonly children: ReactNode
}

/** An icon button that stays pressed. */
export const Toggle = ({ label, isSelected, onChange, children }: ToggleProps) => (
  <ToggleButton
    className="button button-sign toggle"
    aria-label={label}
    isSelected={isSelected}
    onChange={onChange}
  >
    {children}
  </ToggleButton>
)
