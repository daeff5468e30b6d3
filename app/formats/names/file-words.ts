// Turns titles into words for file names that every file system accepts and keeps distinct: A-Z, a-z and 0-9
// only. The manifest contains the original names.

import { createHash } from 'node:crypto'

/** Leaves room for the folder in a path of 260 characters. */
const MAX_CHARACTERS = 80

/** Letters that Unicode decomposition does not reduce to ASCII. */
const FOLDED: Readonly<Record<string, string>> = {
  ß: 'ss',
  ẞ: 'SS',
  Æ: 'Ae',
  æ: 'ae',
  Œ: 'Oe',
  œ: 'oe',
  Ø: 'O',
  ø: 'o',
  Ł: 'L',
  ł: 'l',
  Đ: 'D',
  đ: 'd',
  Ð: 'D',
  ð: 'd',
  Þ: 'Th',
  þ: 'th',
  ı: 'i',
}

/** Between words: punctuation, space, control characters, the symbols of ASCII, and the stroke of ½. */
const SEPARATORS = /[\p{P}\p{Z}\p{Cc}$+<=>^`|~\u2044]+/u
/** Names of devices on Windows, with any extension. */
const RESERVED = /^(con|prn|aux|nul|com\d|lpt\d)$/i

/** The words of a title in ASCII, as fileWord joins them; none where the title has no letter or digit. */
function wordsOf(title: string): string[] {
  const plain = title
    .normalize('NFKD')
    // Combining marks and invisible characters: joiners, directions, byte order marks.
    .replaceAll(/[\p{M}\p{Cf}]/gu, '')
    .replaceAll(/[^\p{ASCII}]/gu, (letter) => FOLDED[letter] ?? letter)
  return plain
    .split(SEPARATORS)
    .filter((word) => word !== '')
    .map((word) => word.replaceAll(/\P{ASCII}+/gu, hashWord))
}

/**
 * A title as one word, with each of its own words capitalised; never empty. Accents are dropped, and
 * characters without ASCII letters (other scripts, emoji) become X and four hexadecimal digits of their hash.
 */
export function fileWord(title: string): string {
  const whole = wordsOf(title)
    .map((word) => word.charAt(0).toUpperCase() + word.slice(1))
    .join('')
  return whole === '' ? 'Untitled' : freeOfDevices(whole)
}

/** A name that Windows would take for a device gets a letter more. */
export const freeOfDevices = (name: string): string => (RESERVED.test(name) ? `${name}X` : name)

/** First letters of the words of a name, as capitals; never empty. */
export const initialsOf = (name: string): string =>
  wordsOf(name)
    .slice(0, MAX_INITIALS)
    .map((word) => word.charAt(0).toUpperCase())
    .join('') || 'X'

const MAX_INITIALS = 4

const hashWord = (rest: string): string => `X${createHash('sha256').update(rest).digest('hex').slice(0, 4)}`

/**
 * `words` and `tail` joined by underscores, at most 80 characters. A name that is taken gets a number; in a
 * name that is too long, the longest word is shortened.
 * @param taken names in lower case, because many disks ignore case; the new one is added
 */
export function distinctFileName(taken: Set<string>, words: readonly string[], tail: string): string {
  for (let n = 1; ; n++) {
    const end = `${n === 1 ? '' : n}_${tail}`
    const name = `${joinedWithin(words, MAX_CHARACTERS - end.length)}${end}`
    if (taken.has(name.toLowerCase())) continue
    taken.add(name.toLowerCase())
    return name
  }
}

function joinedWithin(words: readonly string[], most: number): string {
  const parts = [...words]
  for (let over = parts.join('_').length - most; over > 0; over--) {
    const longest = parts.reduce((best, part, k) => (part.length > parts[best].length ? k : best), 0)
    parts[longest] = parts[longest].slice(0, -1)
  }
  return parts.join('_')
}
