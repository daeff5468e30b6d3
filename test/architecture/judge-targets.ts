// Every import names its file exactly. The window's build also finds `./x` and `./x.js` where the file is
// `x.ts`, and a link where it is not; then the table and the circles would be held against another path.

import { posix } from 'node:path'
import type { Refusal } from './judge-imports.ts'
import { readImports } from './read-imports.ts'

/**
 * @param sources of all files, by path from the top of the tree, with forward slashes
 * @param there all paths there are, other files included
 */
export function judgeTargets(
  sources: ReadonlyMap<string, string>,
  there: ReadonlySet<string>,
): readonly Refusal[] {
  return [...sources].flatMap(([file, source]) =>
    readImports(file, source)
      // The file of an address may be one that a build makes.
      .filter(({ what, form }) => what?.startsWith('.') && form !== 'address')
      .filter(({ what }) => !there.has(posix.join(posix.dirname(file), `${what}`.replace(/\?.*$/, ''))))
      .map(({ what, line }) => ({
        file,
        line,
        what: `${what}`,
        why: 'no file has this name; write the whole name with its ending',
      })),
  )
}

/** Style sheets that nobody imports; knip does not look at them. */
export function judgeStyles(sources: ReadonlyMap<string, string>): Refusal[] {
  const imported = new Set(
    [...sources].flatMap(([file, source]) =>
      readImports(file, source).map(({ what }) => posix.join(posix.dirname(file), `${what}`)),
    ),
  )
  return [...sources.keys()]
    .filter((file) => file.endsWith('.css') && !imported.has(file))
    .map((file) => ({ file, line: 1, what: file, why: 'nothing imports this style sheet; remove it' }))
}

/** @param links paths of symbolic links */
export const judgeLinks = (links: readonly string[]): Refusal[] =>
  links.map((file) => ({
    file,
    line: 1,
    what: file,
    why: 'a link gives a file a second path, which other rules of the table would hold for',
  }))
