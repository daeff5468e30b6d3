// The keys that work everywhere in the window, except those of the transport.

import { isOverlaid, isSteppedField, isTakenElsewhere } from '../keys/key-target.ts'
import { useKeyDown } from '../keys/use-key-down.ts'
import { attempt } from '../state/notices.ts'
import { goTo } from '../state/selection.ts'
import { windowKeyActOf } from '../state/single-keys.ts'
import { undoHistory } from '../state/undo.ts'
import { showKeyHelp } from './keys/key-help.tsx'
import { showPeople } from './people/people-dialog.tsx'
import { showNewSession } from './session-chooser.tsx'
import { showImport } from './show-import.ts'

export function useShortcuts(): void {
  useKeyDown((event) => {
    if (isOverlaid(event.target)) return
    const act = windowKeyActOf(event, 'everywhere')
    const isOfHistory = act === 'undo' || act === 'redo'
    if (isTakenElsewhere(event.target) && !(isOfHistory && isSteppedField(event.target))) return
    switch (act) {
      case 'undo':
        void attempt('Could not undo', undoHistory.undo)
        break
      case 'redo':
        void attempt('Could not redo', undoHistory.redo)
        break
      case 'people':
        showPeople()
        break
      case 'newSession':
        showNewSession()
        break
      case 'importTakes':
        showImport()
        break
      case 'keys':
        showKeyHelp()
        break
      case 'intake':
      case 'mics':
      case 'stack':
      case 'chain':
      case 'ledger':
        goTo(act)
        break
      default:
        return
    }
    event.preventDefault()
    event.stopPropagation()
  })
}
