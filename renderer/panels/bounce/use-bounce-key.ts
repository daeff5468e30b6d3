// The key that opens the dialog of a bounce.

import { keyActOf } from '../../keys/key-table.ts'
import { isOverlaid } from '../../keys/key-target.ts'
import { useKeyDown } from '../../keys/use-key-down.ts'

/** Calls `onBounce` for the key where `canBounce`; a pending edit of a field is applied first. */
export function useBounceKey(canBounce: boolean, onBounce: () => void): void {
  useKeyDown((event) => {
    if (keyActOf(event, 'mix') !== 'bounce') return
    event.preventDefault()
    if (!canBounce || event.repeat || isOverlaid(event.target)) return
    event.stopPropagation()
    // Leaving the field applies its edit.
    if (document.activeElement instanceof HTMLElement) document.activeElement.blur()
    onBounce()
  })
}
