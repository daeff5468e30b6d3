// Choosing layers with the mouse: a click with Ctrl or Cmd adds one, with Shift all up to it, and a plain click on
// a row chooses none.

import type { MouseEvent, PointerEvent } from 'react'
import type { Layer } from '../../../../app/contract/entities.ts'
import { readSelection } from '../../../state/selection.ts'
import { chooseNone, chooseTo, toggleChosen } from './choosing.ts'

/** A press that moves farther is a drag. */
const CLICK_PX = 4

/** Keep their clicks, also with Ctrl or Shift. */
const OWN_CLICKS = 'button, [role="button"], input:not(.layer-name)'

let pressed: { readonly x: number; readonly y: number; readonly selectedId: number | null } | null = null

const isWithKey = ({ ctrlKey, metaKey, shiftKey }: MouseEvent): boolean => ctrlKey || metaKey || shiftKey

/** What the row of a layer listens to. */
export const choosing = (layer: Layer) => ({
  onPointerDownCapture(event: PointerEvent<HTMLElement>): void {
    // What was selected before this press: the press itself selects the row, by its wave or its focus.
    pressed = { x: event.clientX, y: event.clientY, selectedId: readSelection().layerId }
  },
  onMouseDownCapture(event: MouseEvent<HTMLElement>): void {
    const target = event.target as Element
    if (!isWithKey(event) || target.closest(`.layer-head`) === null || target.closest(OWN_CLICKS)) return
    // Otherwise the text of the name would be selected.
    event.preventDefault()
    event.currentTarget.focus({ preventScroll: true })
  },
  onClick(event: MouseEvent<HTMLElement>): void {
    const target = event.target as Element
    // A list or menu of the row is elsewhere in the document.
    if (pressed === null || !event.currentTarget.contains(target)) return
    if (Math.hypot(event.clientX - pressed.x, event.clientY - pressed.y) >= CLICK_PX) return
    if (event.detail === 0 || target.closest(OWN_CLICKS) !== null) return
    const { selectedId } = pressed
    if (event.shiftKey) chooseTo(layer, selectedId)
    else if (event.ctrlKey || event.metaKey) toggleChosen(layer, selectedId)
    else if (target.closest('.layer-name') === null) chooseNone()
  },
})
