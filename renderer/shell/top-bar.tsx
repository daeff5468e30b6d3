// The top bar: the five places, undo and redo, the session, and settings of the window.

import { Button as AriaButton } from 'react-aria-components'
import { useStore } from 'zustand'
import { ariaKeysOf } from '../keys/key-table.ts'
import { Button, namingKeys } from '../parts/button.tsx'
import { KeysSign, PeopleSign, RedoSign, UndoSign } from '../parts/signs.tsx'
import { attempt } from '../state/notices.ts'
import { goTo, PLACES, type Place, useSelection } from '../state/selection.ts'
import { undoHistory } from '../state/undo.ts'
import { HearingCaution } from './hearing-caution.tsx'
import { showKeyHelp } from './keys/key-help.tsx'
import { showPeople } from './people/people-dialog.tsx'
import { RiverMark } from './river-mark.tsx'
import { SessionChooser } from './session-chooser.tsx'
import { showStart } from './start-page.tsx'
import { ThemeMenu } from './theme-menu.tsx'

export const PLACE_NAMES: Readonly<Record<Place, string>> = {
  intake: 'Intake',
  mics: 'Mics',
  stack: 'Stack',
  chain: 'Chain',
  ledger: 'Ledger',
}

export function TopBar() {
  const { place } = useSelection()
  const { undoLabel, redoLabel } = useStore(undoHistory.state)
  return (
    <header className="top-bar">
      <AriaButton className="word-mark" aria-label="Takeloft, start page" onPress={() => showStart(true)}>
        <RiverMark />
        <span className="word-mark-name">Takeloft</span>
      </AriaButton>
      <nav className="place-navigation" aria-label="Places">
        {PLACES.map((name) => (
          <AriaButton
            key={name}
            className="place-link"
            aria-current={name === place ? 'page' : false}
            {...namingKeys(ariaKeysOf(name))}
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
          onPress={() => void attempt('Could not undo', undoHistory.undo)}
        >
          <UndoSign />
        </Button>
        <Button
          look="sign"
          aria-label={redoLabel === null ? 'Redo' : `Redo ${redoLabel}`}
          isDisabled={redoLabel === null}
          onPress={() => void attempt('Could not redo', undoHistory.redo)}
        >
          <RedoSign />
        </Button>
        <SessionChooser />
        <Button
          look="sign"
          aria-label="People and songs"
          aria-keyshortcuts={ariaKeysOf('people')}
          onPress={showPeople}
        >
          <PeopleSign />
        </Button>
        <ThemeMenu />
        <Button look="sign" aria-label="Keys" aria-keyshortcuts={ariaKeysOf('keys')} onPress={showKeyHelp}>
          <KeysSign />
        </Button>
        <HearingCaution />
      </div>
    </header>
  )
}
