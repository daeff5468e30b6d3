// The theme menu.

import { Menu as AriaMenu, MenuItem, MenuTrigger, Popover } from 'react-aria-components'
import { Button } from '../parts/button.tsx'
import { ThemeSign, TickSign } from '../parts/signs.tsx'
import { setTheme, THEMES, type Theme, useTheme } from '../state/theme.ts'

const THEME_NAMES: Readonly<Record<Theme, string>> = {
  system: 'Match system',
  light: 'Light',
  dark: 'Dark',
}

export function ThemeMenu() {
  const theme = useTheme()
  return (
    <MenuTrigger>
      <Button look="sign" aria-label={`Theme: ${THEME_NAMES[theme]}`}>
        <ThemeSign />
      </Button>
      <Popover className="popover" placement="bottom end">
        <AriaMenu
          className="list-box"
          aria-label="Theme"
          selectionMode="single"
          disallowEmptySelection
          selectedKeys={[theme]}
          onSelectionChange={(keys) => {
            const next = THEMES.find((one) => keys !== 'all' && keys.has(one))
            if (next !== undefined) setTheme(next)
          }}
        >
          {THEMES.map((one) => (
            <MenuItem key={one} id={one} textValue={THEME_NAMES[one]} className="list-item list-item-ticked">
              <span>{THEME_NAMES[one]}</span>
              {one === theme ? <TickSign /> : null}
            </MenuItem>
          ))}
        </AriaMenu>
      </Popover>
    </MenuTrigger>
  )
}
