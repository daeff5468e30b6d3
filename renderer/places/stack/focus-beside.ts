// Keeps the keyboard where it was when what it stood on is removed.

/**
 * The neighbour of the element that matches, or lies in one that does: the next, or the one before
 * where there is none. Asked for before the removal, it takes the focus afterwards.
 */
export function neighbourOf(within: Element | null, selector: string): HTMLElement | null {
  const all = [...document.querySelectorAll<HTMLElement>(selector)]
  const place = all.findIndex((one) => within?.contains(one) === true)
  return place === -1 ? null : (all[place + 1] ?? all[place - 1] ?? null)
}
