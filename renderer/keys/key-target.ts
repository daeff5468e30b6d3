// Who a key press is meant for: the window, or the control that has the focus.

/** Whether keys typed here are text. */
const isTyping = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target.isContentEditable ||
    target instanceof HTMLTextAreaElement ||
    (target instanceof HTMLInputElement && !['checkbox', 'radio', 'button', 'range'].includes(target.type)))

/** A number field without a half-typed value: what was last done there were steps, and steps are acts. */
export const isSteppedField = (target: EventTarget | null): boolean =>
  target instanceof HTMLInputElement && target.role === 'spinbutton' && target.dataset.draft === undefined

/**
 * Space belongs to a control only while the keyboard has brought the focus there: after
 * a click on a button the next Space is meant for the transport, as everywhere in the trade.
 */
export const isPressedBySpace = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  target.closest('[data-focus-visible], summary') !== null &&
  target.closest('[role="slider"]') === null

/** An open list has letters to search by and a first line of its own to go to. */
const isInOpenList = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  target.closest(
    '[role="option"], [role="menuitem"], [role="menuitemradio"], [role="listbox"], [role="menu"]',
  ) !== null

/** A dialog has the keyboard to itself. */
const isDialogOpen = (): boolean => document.querySelector('[aria-modal="true"], .dialog') !== null

/** Whether the window has no say: keys are typed, or belong to what lies over it. */
export const isTakenElsewhere = (target: EventTarget | null): boolean =>
  isTyping(target) || isOverlaid(target)

export const isOverlaid = (target: EventTarget | null): boolean => isInOpenList(target) || isDialogOpen()
