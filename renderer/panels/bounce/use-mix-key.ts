// The keys that open the dialogs of a bounce and a delivery.

import { keyActOf } from '../../keys/key-table.ts'
import { isOverlaid } from '../../keys/key-target.ts'
import { useKeyDown } from '../../keys/use-key-down.ts'

/** Calls `onAct` for the key of `act` where `can`; a pending edit of a field is applied first. */
export function useMixKey(act: 'bounce' | 'deliver', can: boolean, onAct: () => void): void {
  useKeyDown((event) => {
    if (keyActOf(event, 'mix') !== act) return
    event.preventDefault()
    if (!can || event.repeat || isOverlaid(event.target)) return
    event.stopPropagation()
    // Leaving the field applies its edit.
    if (document.activeElement instanceof HTMLElement) document.activeElement.blur()
    onAct()
  })
}
