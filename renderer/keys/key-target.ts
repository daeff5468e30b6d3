// Who a key press is meant for: the window, or the control that has the focus.

/** Whether keys typed here are text. */
export const isTyping = (target: EventTarget | null): boolean =>
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
  target.closest('[data-focus-visible], [role="option"], [role="menuitem"], summary') !== null &&
  target.closest('[role="slider"]') === null

/** Lists and faders have a start of their own to go to. */
export const hasOwnHome = (target: EventTarget | null): boolean =>
  target instanceof HTMLElement &&
  (target instanceof HTMLInputElement || target.closest('[role="option"], [role="menuitem"]') !== null)

/** A dialog has the keyboard to itself. */
export const isDialogOpen = (): boolean => document.querySelector('[aria-modal="true"], .dialog') !== null
