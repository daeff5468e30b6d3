// Where the focus goes when the focused element is removed.

/**
 * Among the elements that match `selector`, returns the one after the element inside `within`, or the one
 * before it if it is the last. Call this before the removal and focus the result afterwards.
 */
export function neighbourOf(within: Element | null, selector: string): HTMLElement | null {
  const all = [...document.querySelectorAll<HTMLElement>(selector)]
  const place = all.findIndex((one) => within?.contains(one) === true)
  return place === -1 ? null : (all[place + 1] ?? all[place - 1] ?? null)
}
