// Decides whether a key press is for the window or for the control with the focus.

/** Whether keys pressed here type text. */
const isTyping = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target.isContentEditable ||
    target instanceof HTMLTextAreaElement ||
    (target instanceof HTMLInputElement && !['checkbox', 'radio', 'button', 'range'].includes(target.type)))

/** A number field without a pending edit. Its changes are applied, so Undo is for the window's history. */
export const isSteppedField = (target: EventTarget | null): boolean =>
  target instanceof HTMLInputElement && target.role === 'spinbutton' && target.dataset.draft === undefined

/** Keys that move the focus. Only these make a control one that the keyboard has reached. */
const MOVES_FOCUS = ['Tab', 'ArrowLeft', 'ArrowRight', 'ArrowUp', 'ArrowDown', 'Home', 'End']

let isByKeyboard = false
let wasMovedByKey = false
let isReachedByKey = false
if (typeof window !== 'undefined' && 'addEventListener' in window) {
  const options = { capture: true }
  // A press on the control that has the focus already takes Space away from it as well.
  const onPointer = (): void => {
    isByKeyboard = false
    wasMovedByKey = false
    isReachedByKey = false
  }
  window.addEventListener('pointerdown', onPointer, options)
  window.addEventListener(
    'keydown',
    ({ key }) => {
      isByKeyboard = true
      if (MOVES_FOCUS.includes(key)) wasMovedByKey = true
    },
    options,
  )
  window.addEventListener(
    'focusin',
    () => {
      isReachedByKey = wasMovedByKey
    },
    options,
  )
}

/** Whether the last input was a key, not a press of the pointer. */
export const isUsingKeyboard = (): boolean => isByKeyboard

/** After the program has moved the focus: Space is for playback, as no Tab or arrow key has reached the control. */
export function leaveSpaceToPlayback(): void {
  wasMovedByKey = false
  isReachedByKey = false
}

/**
 * Whether Space presses the control: only where Tab or an arrow key moved the focus there and the focus is
 * shown. After a click, Space plays and stops, whatever key was pressed since: the focus ring alone does not
 * tell, because any key shows it.
 */
export const isPressedBySpace = (target: EventTarget | null): boolean =>
  isReachedByKey &&
  target instanceof HTMLElement &&
  target.closest('[data-focus-visible], summary') !== null &&
  target.closest('[role="slider"], [role="row"]') === null

/**
 * Whether Space is for what is being typed. In a number field whose value is applied it is not: no value
 * begins with a blank.
 */
export const isSpaceTyped = (target: EventTarget | null): boolean =>
  isTyping(target) && !isSteppedField(target)

/** Open lists use letters for type-ahead and Home for the first item. */
const isInOpenList = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  target.closest(
    '[role="option"], [role="menuitem"], [role="menuitemradio"], [role="listbox"], [role="menu"]',
  ) !== null

/** An open dialog gets all keys. */
const isDialogOpen = (): boolean => document.querySelector('[aria-modal="true"], .dialog') !== null

/** Whether the window's shortcuts are off: text is being typed, or a list or dialog is open. */
export const isTakenElsewhere = (target: EventTarget | null): boolean =>
  isTyping(target) || isOverlaid(target)

/** Whether a list or dialog is open. */
export const isOverlaid = (target: EventTarget | null): boolean => isInOpenList(target) || isDialogOpen()
