// Buttons: a word, sometimes with a sign; one main button per place.

import type { RefAttributes } from 'react'
import { Button as AriaButton, type ButtonProps as AriaButtonProps } from 'react-aria-components'
import './button.css'

export interface ButtonProps extends Omit<AriaButtonProps, 'className'>, RefAttributes<HTMLButtonElement> {
  /** plain: a word in the text; main: the act this place is for. */
  readonly look?: 'ruled' | 'plain' | 'main' | 'sign'
  readonly className?: string
}

/** A button of the window in one of four looks; accepts all properties of the accessible base button. */
export const Button = ({ look = 'ruled', className = '', ...rest }: ButtonProps) => (
  <AriaButton {...rest} className={`button button-${look} ${className}`} />
)
