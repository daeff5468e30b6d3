// Files that are far too large, or full of what makes a parser slow: refused with 2 and one
// sentence, in the memory that the program takes anyway.

import { truncateSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import { CALLS, expectRefusal, store } from './hostile-places.ts'
import { startTakeloft } from './start-takeloft.ts'

describe('what is too large is refused before it is read', () => {
  const hole = (name: string, bytes: number): string => {
    const path = store(name, '{')
    truncateSync(path, bytes)
    return path
  }
  const MAX_BYTES = 350e6

  it.each<[string, string[], RegExp]>([
    [
      'a chain of 1 GB',
      CALLS.chain(hole('chain.hole', 1e9)),
      /has 1000 MB, and a chain has at most 40 MB; choose a smaller one\.$/,
    ],
    [
      'a curve of 1 GB',
      CALLS['source of a fit'](hole('curve.hole', 1e9)),
      /has 1000 MB, and a curve has at most 8 MB; choose a smaller one\.$/,
    ],
    [
      'a manifest of 1 GB',
      CALLS.manifest(hole('manifest.hole', 1e9)),
      /has 1000 MB, and a manifest has at most 40 MB/,
    ],
    [
      'a take of 1 TB that is none',
      CALLS['take to measure'](hole('take.hole', 1e12)),
      /cannot be read: it looks like/,
    ],
  ])('%s', async (_what, words, sentence) => {
    const ended = await startTakeloft(words).ended
    expect(ended.status).toBe(2)
    expect(ended.sentences).toEqual([expect.stringMatching(sentence)])
    if (ended.mostMemory !== null) expect(ended.mostMemory).toBeLessThan(MAX_BYTES)
  })

  it.each<[string, string, (path: string) => string[]]>([
    ['brackets', '['.repeat(30_000_000), CALLS.chain],
    [
      'objects',
      `{"format":"takeloft-bounce","version":1,"plan":{"layers":[${'{},'.repeat(9_000_000)}{}]}}`,
      CALLS.manifest,
    ],
    [
      'layers',
      `{"format":"takeloft-bounce","version":1,"plan":{"layers":[${'{"stages":[]},'.repeat(100_000)}{}]}}`,
      CALLS.manifest,
    ],
    ['names', `{${Array.from({ length: 1_000_000 }, (_, k) => `"${k}":0`).join()}}`, CALLS.chain],
    [
      'letters',
      `{"format":"takeloft-chain","version":1,"stages":[{"kind":"${'a'.repeat(30_000_000)}"}]}`,
      CALLS.chain,
    ],
    ['lines', '20,0\n'.repeat(1_500_000), CALLS['source of a fit']],
    ['words', 'la '.repeat(2_600_000), CALLS['source of a fit']],
    ['numbers', '1,'.repeat(3_900_000), CALLS['source of a fit']],
  ])('a file full of %s', async (what, text, call) => {
    const path = store(`full of ${what}`, text)
    const ended = await startTakeloft(call(path)).ended
    expectRefusal(ended, path)
    expect(ended.sentences[0].length).toBeLessThan(1000)
    if (ended.mostMemory !== null) expect(ended.mostMemory).toBeLessThan(MAX_BYTES)
  })
})
