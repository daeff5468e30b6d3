// Words of a search as the full-text index compares them: without case and accents, from the beginning of a
// word. Used to show where a text matches. https://www.sqlite.org/fts5.html#unicode61_tokenizer

/** A range of characters. */
interface Range {
  readonly from: number
  readonly to: number
}

const TOKEN = /[\p{L}\p{N}\p{M}\p{Co}]+/gu

const fold = (text: string): string => text.normalize('NFD').replaceAll(/\p{M}/gu, '').toLowerCase()

/** The words of a search, folded; punctuation separates them. */
export const searchWordsOf = (search: string): string[] => (search.match(TOKEN) ?? []).map(fold)

/** Where words of the text begin with one of the searched words, in order; each range is what was typed. */
export function matchesIn(text: string, words: readonly string[]): Range[] {
  const found: Range[] = []
  for (const { 0: token, index } of text.matchAll(TOKEN)) {
    const folded = fold(token)
    const begun = words.filter((word) => folded.startsWith(word)).map((word) => word.length)
    if (begun.length > 0) found.push({ from: index, to: index + typedLength(token, Math.max(...begun)) })
  }
  return found
}

/** How many characters of a word have a folded form of at least `length`, with the accents that follow. */
function typedLength(token: string, length: number): number {
  let to = 0
  for (const character of token) {
    if (fold(token.slice(0, to)).length >= length && !/\p{M}/u.test(character)) break
    to += character.length
  }
  return to
}

/** Characters of text before and after a match in an excerpt. */
const BEFORE = 24
const AFTER = 72

/** The line of the text around the first match, shortened at words; null if nothing matches. */
export function excerptOf(text: string, words: readonly string[]): string | null {
  const [first] = matchesIn(text, words)
  if (first === undefined) return null
  const lineStart = text.lastIndexOf('\n', first.from - 1) + 1
  const lineEnd = text.indexOf('\n', first.to)
  const line = text.slice(lineStart, lineEnd === -1 ? text.length : lineEnd)
  const at = first.from - lineStart
  const from = at <= BEFORE ? 0 : Math.max(line.lastIndexOf(' ', at - BEFORE) + 1, at - 2 * BEFORE)
  const to = Math.min(at + AFTER, line.length)
  return `${from > 0 ? '…' : ''}${line.slice(from, to).trim()}${to < line.length ? '…' : ''}`
}
