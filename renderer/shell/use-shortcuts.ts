// The keys that work everywhere in the window.

import { useEffect } from 'react'
import { attempt } from '../state/notices.ts'
import { goTo, PLACES } from '../state/selection.ts'
import { undoHistory } from '../state/undo.ts'

/** Whether keys typed here are text. */
export const isTyping = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target.isContentEditable ||
    target instanceof HTMLTextAreaElement ||
    (target instanceof HTMLInputElement && !['checkbox', 'radio', 'button'].includes(target.type)))

/** A number field without a half-typed value: what was last done there were steps, and steps are acts. */
const isSteppedField = (target: EventTarget | null): boolean =>
  target instanceof HTMLInputElement && target.role === 'spinbutton' && target.dataset.draft === undefined

/** 1 to 5 go to the places, Ctrl or Cmd with Z undoes, with Shift and Z does again. */
export function useShortcuts(): void {
  useEffect(() => {
    const onKeyDown = (event: KeyboardEvent): void => {
      if (event.defaultPrevented || event.altKey || document.querySelector('[aria-modal="true"], .dialog'))
        return
      const command = event.ctrlKey || event.metaKey
      if (isTyping(event.target) && !(command && isSteppedField(event.target))) return
      const key = event.key.toLowerCase()
      if (command && (key === 'z' || key === 'y')) {
        event.preventDefault()
        const again = key === 'y' || event.shiftKey
        void attempt(again ? 'Not done again' : 'Not undone', () =>
          again ? undoHistory.redo() : undoHistory.undo(),
        )
      } else if (!command && !event.shiftKey) {
        const place = PLACES[Number(key) - 1]
        if (place === undefined) return
        event.preventDefault()
        goTo(place)
      }
    }
    window.addEventListener('keydown', onKeyDown)
    return () => window.removeEventListener('keydown', onKeyDown)
  }, [])
}
