// Buttons with text, an icon, or both. Each place has one main button.

import type { ComponentProps, RefAttributes } from 'react'
import { Button as AriaButton, type ButtonProps as AriaButtonProps } from 'react-aria-components'
import './button.css'

export interface ButtonProps extends Omit<AriaButtonProps, 'className'>, RefAttributes<HTMLButtonElement> {
  /** plain: text only; main: the main action of a place; sign: an icon. */
  readonly look?: 'ruled' | 'plain' | 'main' | 'sign'
  readonly className?: string
  readonly 'aria-keyshortcuts'?: string
}

/** Properties that name the keys of a button of the library, which does not pass `aria-keyshortcuts` on. */
export const namingKeys = (keys: string) => ({
  render: (props: ComponentProps<'button'>) => <button {...props} aria-keyshortcuts={keys} />,
})

/** A button in one of four looks; accepts all properties of the base button. */
export const Button = ({
  look = 'ruled',
  className = '',
  'aria-keyshortcuts': keys,
  ...rest
}: ButtonProps) => (
  <AriaButton
    {...rest}
    {...(keys === undefined ? {} : namingKeys(keys))}
    className={`button button-${look} ${className}`}
  />
)
