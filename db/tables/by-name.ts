// The order of names in lists: alphabetical as people expect it, not by character code.

const collator = new Intl.Collator('en', { numeric: true })

/** Sorts "Émile" beside "Emil", and "Take 9" before "Take 10"; equal names by age. */
export const byName = (a: { name: string; id: number }, b: { name: string; id: number }): number =>
  collator.compare(a.name, b.name) || a.id - b.id
