// Checkboxes.

import type { ReactNode } from 'react'
import { Checkbox as AriaCheckbox } from 'react-aria-components'
import { TickSign } from '../signs.tsx'
import './field.css'

export interface CheckboxProps {
  readonly children: ReactNode
  readonly isSelected: boolean
  readonly onChange: (isSelected: boolean) => void
  readonly isDisabled?: boolean
  readonly label?: string
}

/** A checkbox with its label beside it. */
export const Checkbox = ({ children, isSelected, onChange, isDisabled = false, label }: CheckboxProps) => (
  <AriaCheckbox
    className="checkbox"
    isSelected={isSelected}
    onChange={onChange}
    isDisabled={isDisabled}
    {...(label === undefined ? {} : { 'aria-label': label })}
  >
    <span className="checkbox-box">{isSelected ? <TickSign /> : null}</span>
    {children}
  </AriaCheckbox>
)
