// The head of the window: the five places, the session, and what applies everywhere.

import { useSyncExternalStore } from 'react'
import { Button as AriaButton } from 'react-aria-components'
import { Button } from '../parts/button.tsx'
import { Select } from '../parts/select.tsx'
import { RedoSign, UndoSign } from '../parts/signs.tsx'
import { attempt } from '../state/notices.ts'
import { goTo, PLACES, type Place, useSelection } from '../state/selection.ts'
import { undoHistory } from '../state/undo.ts'
import { HearingCaution } from './hearing-caution.tsx'
import { RiverMark } from './river-mark.tsx'
import { SessionChooser } from './session-chooser.tsx'
import { setTheme, type Theme, useTheme } from './theme.ts'

export const PLACE_NAMES: Readonly<Record<Place, string>> = {
  intake: 'Intake',
  mics: 'Mics',
  stack: 'Stack',
  chain: 'Chain',
  ledger: 'Ledger',
}
const THEME_ITEMS: readonly { key: Theme; name: string; detail?: string }[] = [
  { key: 'system', name: 'System' },
  { key: 'light', name: 'Paper' },
  { key: 'dark', name: 'Ink' },
]

export function TopBar() {
  const { place } = useSelection()
  const theme = useTheme()
  const { undoLabel, redoLabel } = useSyncExternalStore(undoHistory.subscribe, undoHistory.get)
  return (
    <header className="top-bar">
      <span className="word-mark">
        <RiverMark />
        <span className="word-mark-name">Takeloft</span>
      </span>
      <nav className="place-navigation" aria-label="Places">
        {PLACES.map((name, index) => (
          <AriaButton
            key={name}
            className="place-link"
            aria-current={name === place ? 'page' : false}
            aria-keyshortcuts={String(index + 1)}
            aria-label={PLACE_NAMES[name]}
            onPress={() => goTo(name)}
          >
            <span className="place-link-name" data-name={PLACE_NAMES[name]}>
              {PLACE_NAMES[name]}
            </span>
          </AriaButton>
        ))}
      </nav>
      <div className="top-bar-end">
        <Button
          look="sign"
          aria-label={undoLabel === null ? 'Undo' : `Undo ${undoLabel}`}
          isDisabled={undoLabel === null}
          onPress={() => void attempt('Not undone', undoHistory.undo)}
        >
          <UndoSign />
        </Button>
        <Button
          look="sign"
          aria-label={redoLabel === null ? 'Redo' : `Redo ${redoLabel}`}
          isDisabled={redoLabel === null}
          onPress={() => void attempt('Not done again', undoHistory.redo)}
        >
          <RedoSign />
        </Button>
        <SessionChooser />
        <Select
          label="Theme"
          isLabelHidden
          className="theme-chooser"
          items={THEME_ITEMS}
          value={theme}
          onChange={(key) => setTheme(key ?? 'system')}
        />
        <HearingCaution />
      </div>
    </header>
  )
}
