// Where the focus goes when the focused element is removed.

/**
 * The neighbour, among the elements that match `selector`, of the one inside `within`: the next one, or the
 * previous one after the last. Call it before the removal and focus the result afterwards.
 */
export function neighbourOf(within: Element | null, selector: string): HTMLElement | null {
  const all = [...document.querySelectorAll<HTMLElement>(selector)]
  const place = all.findIndex((one) => within?.contains(one) === true)
  return place === -1 ? null : (all[place + 1] ?? all[place - 1] ?? null)
}
