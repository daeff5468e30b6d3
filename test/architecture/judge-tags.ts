// Comments that would hide an unused export from knip: it reports nothing that is tagged like this.

import { parseSync } from 'vite'
import type { Refusal } from './judge-imports.ts'

const HIDING = /@(public|internal|beta|alias|lintignore)\b/

/** @param sources of all files, by path from the top of the tree, with forward slashes */
export const judgeTags = (sources: ReadonlyMap<string, string>): Refusal[] =>
  [...sources]
    .filter(([file, source]) => !file.endsWith('.css') && HIDING.test(source))
    .flatMap(([file, source]) =>
      parseSync(file, source).comments.flatMap(({ start, value }) => {
        const tag = value.match(HIDING)
        const line = source.slice(0, start).split('\n').length
        return tag === null ? [] : [{ file, line, what: tag[0], why: 'this tag hides an unused export' }]
      }),
    )
