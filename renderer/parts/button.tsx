// Buttons with text, an icon, or both. Each place has one main button.

import type { RefAttributes } from 'react'
import { Button as AriaButton, type ButtonProps as AriaButtonProps } from 'react-aria-components'
import './button.css'

export interface ButtonProps extends Omit<AriaButtonProps, 'className'>, RefAttributes<HTMLButtonElement> {
  /** plain: text only; main: the main action of a place; sign: an icon. */
  readonly look?: 'ruled' | 'plain' | 'main' | 'sign'
  readonly className?: string
}

/** A button in one of four looks; accepts all properties of the base button. */
export const Button = ({ look = 'ruled', className = '', ...rest }: ButtonProps) => (
  <AriaButton {...rest} className={`button button-${look} ${className}`} />
)
