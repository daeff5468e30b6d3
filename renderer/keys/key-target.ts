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

/**
 * Whether Space presses the control: only where the keyboard moved the focus there. After a
 * click on a button, Space still plays and stops, as in other audio programs.
 */
export const isPressedBySpace = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  target.closest('[data-focus-visible], summary') !== null &&
  target.closest('[role="slider"]') === null

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
