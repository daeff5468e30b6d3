// A menu of further actions behind one button.

import { Menu as AriaMenu, MenuItem, MenuTrigger, Popover } from 'react-aria-components'
import { Button } from './button.tsx'
import { MoreSign } from './signs.tsx'
import './fields/field.css'

interface MenuAct {
  readonly name: string
  readonly onAction: () => void
}

export interface MenuProps {
  readonly label: string
  readonly acts: readonly MenuAct[]
  readonly className?: string
}

/** A button with three dots that opens a menu. */
export const Menu = ({ label, acts, className = '' }: MenuProps) => (
  <MenuTrigger>
    <Button look="sign" aria-label={label} className={className}>
      <MoreSign />
    </Button>
    <Popover className="popover" placement="bottom end">
      <AriaMenu className="list-box" aria-label={label}>
        {acts.map((act) => (
          <MenuItem key={act.name} id={act.name} className="list-item" onAction={act.onAction}>
            {act.name}
          </MenuItem>
        ))}
      </AriaMenu>
    </Popover>
  </MenuTrigger>
)
