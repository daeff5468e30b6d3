// The exchange of voices in words: the name of the file, what comes in, and both sides of what differs.

import type { HistoryConflict, HistoryItem } from '../../../app/contract/exchange/conflict.ts'
import { addedWords, conflictWords } from '../../../app/words/history.ts'

/** Characters that some file systems do not allow in names. */
// biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are exactly what is meant
const UNFIT = /[<>:"/\\|?*\u0000-\u001f]+/g
/** In characters; with the date and the ending a name stays below 255 bytes in UTF-8 at four bytes each. */
const MOST_NAME_CHARACTERS = 50

/** 'Ana, sung 2026-11-28.zip'. @param date yyyy-mm-dd */
export function exchangeFileName(artistName: string, voiceName: string, date: string): string {
  const words = `${artistName}, ${voiceName}`
    .replaceAll(UNFIT, ' ')
    .replaceAll(/\s+/g, ' ')
    .replace(/^[. ~-]+/, '')
  const name = [...words].slice(0, MOST_NAME_CHARACTERS).join('').trim()
  return `${name === '' ? 'Voice' : name} ${date}.zip`
}

/** Entries of one kind under their count. */
export interface ItemGroup {
  /** '3 chain versions' */
  readonly title: string
  readonly names: readonly string[]
}

/** In the order in which the kinds first occur. */
export const groupItems = (items: readonly HistoryItem[]): readonly ItemGroup[] =>
  [...Map.groupBy(items, ({ kind }) => kind).values()].map((group) => ({
    title: addedWords(group),
    names: group.map(({ name }) => name),
  }))

/** A difference with both sides, as they stand beside each other. */
export interface Difference {
  /** What differs, with what happens to it. */
  readonly title: string
  readonly sides: readonly { readonly label: string; readonly text: string }[]
}

const NOTHING = '(empty)'

/** Both sides of a difference; nothing is decided by it, since both are kept. */
export function differenceOf(difference: HistoryConflict): Difference {
  const { conflict, kind, name, details } = difference
  const side = (label: string, text: string | undefined) => ({
    label,
    text: text === undefined || text === '' ? NOTHING : text,
  })
  const [first, second] = details
  switch (conflict) {
    case 'two-ways':
      return {
        title: `${name}: the chain was edited on both computers. It gets two newest versions; go on with either, or make one of both.`,
        sides: details.map((text) => side('Newest version', text)),
      }
    case 'value':
      return {
        title: `${name}: the name or note of the ${kind} was changed on both computers. The newer one is shown, the other is kept in the ledger.`,
        sides: [side('Shown from now on', first), side('Kept in the ledger', second)],
      }
    case 'settings':
      return {
        title: `${name}: the session was set differently on two computers. What was set here stays; if nothing was, the newest is valid.`,
        sides: [side('Valid here', first), side('Of another computer, kept', second)],
      }
    case 'same-name':
      return {
        title: `${name}: there is a ${kind} of this name here, and it is not known whether they are the same. Both stay; merge them in People and songs if they are.`,
        sides: [],
      }
    case 'waits':
      return {
        title: `Version ${name} was made from ${details.join(', ')}, which is not in the file. It is left out until a file has both.`,
        sides: [],
      }
    case 'refused':
      return {
        title: `Version ${name} is not what its hash says: the file was changed. It is left out.`,
        sides: [],
      }
    case 'session-waits':
    case 'settings-wait': {
      const sentence = conflictWords(difference)
      return { title: `${sentence[0]!.toUpperCase()}${sentence.slice(1)}.`, sides: [] }
    }
  }
}
