// Text in which the beginnings of words that a search found are marked.

import { matchesIn } from '../../../app/contract/text/search-words.ts'

/** @param words folded, from searchWordsOf */
export function Marked({ text, words }: { text: string; words: readonly string[] }) {
  const matches = matchesIn(text, words)
  return (
    <>
      {matches.map(({ from, to }, index) => (
        <span key={from}>
          {text.slice(matches[index - 1]?.to ?? 0, from)}
          <mark className="found">{text.slice(from, to)}</mark>
        </span>
      ))}
      {text.slice(matches.at(-1)?.to ?? 0)}
    </>
  )
}
