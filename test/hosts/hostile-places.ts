// The places of the command line where a file is read, with sound files for all the others, and
// what a refusal there has to look like.

import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect } from 'vitest'
import { CHAIN_FORMAT, defaultStages } from '../../app/contract/chain-document.ts'
import { chunkBytes, fmtChunk, randomWords, waveBytes, words16 } from '../signals/wave-bytes.ts'
import type { Ended } from './start-takeloft.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-hostile-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

export const at = (name: string): string => join(folder, name)
export const store = (name: string, contents: string | Uint8Array): string => {
  writeFileSync(at(name), contents)
  return at(name)
}

export const good = store(
  'good.wav',
  waveBytes([fmtChunk(), chunkBytes('data', words16(randomWords(16, 24_000, 7)))]),
)
const chain = store(
  'chain.json',
  JSON.stringify({ format: CHAIN_FORMAT, version: 1, name: 'a', stages: [defaultStages['mic-correction']] }),
)
export const curve = store('curve.csv', '20,0\n1000,1\n20000,0\n')

type Call = (path: string) => string[]

/** What is done with a file in each place. */
export const CALLS = {
  'take to measure': (path) => ['measure', path],
  'take for its levels': (path) => ['measure', path, '--levels-only'],
  'take to process': (path) => ['process', path, at('out.wav'), '--chain', chain],
  chain: (path) => ['process', good, at('out.wav'), '--chain', path],
  'mic curve': (path) => ['process', good, at('out.wav'), '--chain', chain, '--mic-curve', path],
  'target curve': (path) => ['process', good, at('out.wav'), '--chain', chain, '--target-curve', path],
  'source of a fit': (path) => ['fit', '--source', path, '--target', curve],
  manifest: (path) => ['verify', path],
  catalogue: (path) => ['bounce', '--catalogue', path, '--session', '1', '--out', at('stems')],
} as const satisfies Record<string, Call>

/** Ended by itself with 2 and one sentence about `path`, with nothing left behind. */
export function expectRefusal(ended: Ended, path: string): void {
  expect(ended).toMatchObject({ status: 2, stdout: '', left: [] })
  expect(ended.sentences).toHaveLength(1)
  expect(ended.sentences[0]).toContain(path)
  expect(ended.sentences[0]).toMatch(/\.$/)
  expect(ended.sentences[0]).not.toContain('inside Takeloft')
}
