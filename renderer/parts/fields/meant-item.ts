// Which items of a long list the words typed into its search field mean.

/** A time of day such as 5:24 is one word. */
const wordsOf = (text: string): string[] =>
  text.toLocaleLowerCase().match(/\p{N}+(?::\p{N}*)+|[\p{L}\p{N}]+/gu) ?? []

/**
 * Whether every typed word is the start of a word in name or detail, as in the search for takes. A number without a
 * colon is no time of day: 24 means a name or a date and not all that was created 24 minutes past an hour.
 */
export const isMeant = (
  { name, detail = '' }: { readonly name: string; readonly detail?: string },
  typed: string,
): boolean => {
  const words = wordsOf(`${name} ${detail}`)
  return wordsOf(typed).every((begun) =>
    words.some((word) => word.startsWith(begun) && word.includes(':') === begun.includes(':')),
  )
}
