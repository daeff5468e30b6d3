// File names from a template (contract/delivery/name-template.ts): letters, digits, _ and - only, distinct on disks
// that ignore case, and of bounded length. The true names are in the files, the marker table and the manifest.

import type { NameToken } from '../../contract/delivery/name-template.ts'
import { fileWord, freeOfDevices } from './file-words.ts'

/** What the tokens stand for in one file; an empty one is left out. */
export type TokenTexts = Readonly<Record<NameToken, string>>

/** Leaves room for the folders in a path of 180 characters. */
const MAX_CHARACTERS = 80

/** These are made by the program, and a date keeps its hyphens. */
const AS_THEY_ARE: readonly NameToken[] = ['initials', 'date', 'kind', 'ver', 'rate', 'depth', 'n']

interface Piece {
  text: string
  readonly isToken: boolean
}

/** Text between tokens: its letters without marks, everything else an underscore. */
const literal = (text: string): string =>
  text
    .normalize('NFKD')
    .replaceAll(/\p{M}/gu, '')
    .replaceAll(/[^A-Za-z0-9_-]+/g, '_')

function piecesOf(template: string, texts: TokenTexts): Piece[] {
  return template.split(/(\{[^{}]*\})/).map((part) => {
    const token = /^\{([^{}]*)\}$/.exec(part)?.[1] as NameToken | undefined
    if (token === undefined) return { text: literal(part), isToken: false }
    const text = texts[token]
    if (text === '') return { text, isToken: true }
    return { text: AS_THEY_ARE.includes(token) ? literal(text) : fileWord(text), isToken: true }
  })
}

/** Underscores where tokens were empty go; the first character becomes a letter or digit. */
const tidy = (name: string): string =>
  name
    .replaceAll(/_{2,}/g, '_')
    .replaceAll(/_?-{2,}_?/g, '-')
    .replace(/^[_-]+/, '')
    .replace(/[_-]+$/, '')

/** At most `most` characters: the longest token is shortened, then the end. */
function within(pieces: Piece[], most: number): string {
  for (;;) {
    const name = tidy(pieces.map(({ text }) => text).join(''))
    if (name.length <= most) return name
    const longest = pieces.reduce<Piece | null>(
      (best, piece) => (piece.isToken && piece.text.length > (best?.text.length ?? 1) ? piece : best),
      null,
    )
    if (longest === null) return tidy(name.slice(0, most))
    longest.text = longest.text.slice(0, -1)
  }
}

/**
 * The name of one file. A name that is taken gets a number, so that of two files of one name the second has a 2.
 * @param taken names in lower case; the new one is added
 * @param extension with its dot
 */
export function templateName(
  taken: Set<string>,
  template: string,
  texts: TokenTexts,
  extension: string,
): string {
  for (let n = 1; ; n++) {
    const end = `${n === 1 ? '' : `_${n}`}`
    const most = MAX_CHARACTERS - end.length - extension.length
    const base = within(piecesOf(template, texts), most)
    const name = `${freeOfDevices(`${base === '' ? 'Untitled' : base}${end}`)}${extension}`
    if (taken.has(name.toLowerCase())) continue
    taken.add(name.toLowerCase())
    return name
  }
}
