// Turns the text of a search field into a query of SQLite's full-text index.
// https://www.sqlite.org/fts5.html#full_text_query_syntax

/**
 * Every word must begin a word of the take's name, path, artist, voice, mic, songs, notes or findings: `mar 02`
 * finds "Mara hook 02", and "hook 02" of the artist Mara.
 * A word that contains punctuation, such as `mara_hook`, is searched for as a phrase.
 * @returns undefined when nothing in the text can be searched for
 */
export function searchQueryOf(text: string): string | undefined {
  const words = text.split(/[\s\0]+/u).filter((word) => /[\p{L}\p{N}]/u.test(word))
  if (words.length === 0) return undefined
  return words.map((word) => `"${word.replaceAll('"', '""')}"*`).join(' AND ')
}
