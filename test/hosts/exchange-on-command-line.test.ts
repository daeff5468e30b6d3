// Two catalogues that exchange the history of a voice by the command line, as two computers do with a stick.

import { existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, expect, it } from 'vitest'
import { openCatalogue } from '../../db/catalogue.ts'
import { fill, sha256Of, stages } from '../db/entries.ts'
import { runTakeloft } from './run-takeloft.ts'

const folder = mkdtempSync(join(tmpdir(), 'takeloft-exchange-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))
const at = (...parts: string[]): string => join(folder, ...parts)

const exportTo = (catalogue: string, out: string) =>
  runTakeloft(['export-voice', '--catalogue', catalogue, '--voice', '1', '--out', out, '--json'])
const importFrom = (catalogue: string, file: string, ...more: string[]) =>
  runTakeloft(['import-voice', '--catalogue', catalogue, file, '--json', ...more])

it('goes there and back, with a version made on each, and nothing is lost', async () => {
  for (const name of ['home', 'studio']) mkdirSync(at(name))
  const [home, studio] = [at('home', 'catalogue.sqlite'), at('studio', 'catalogue.sqlite')]
  const before = openCatalogue(home)
  const { version } = fill(before)
  before.close()

  const first = await exportTo(home, at('a.zip'))
  expect(first).toMatchObject({ status: 0 })
  expect(JSON.parse(first.stdout)).toEqual({ file: at('a.zip'), sizeBytes: readFileSync(at('a.zip')).length })
  const there = await importFrom(studio, at('a.zip'))
  expect(there.status, there.stderr).toBe(0)
  const { added, conflicts } = JSON.parse(there.stdout) as { added: { kind: string }[]; conflicts: unknown[] }
  expect(added.map(({ kind }) => kind)).toEqual(
    expect.arrayContaining([
      'artist',
      'voice',
      'mic',
      'curve',
      'song',
      'chain',
      'version',
      'take',
      'session',
      'bounce',
    ]),
  )
  expect(conflicts).toEqual([])
  expect(JSON.parse((await importFrom(studio, at('a.zip'))).stdout)).toMatchObject({
    added: [],
    conflicts: [],
  })

  for (const path of [home, studio]) {
    const catalogue = openCatalogue(path)
    catalogue.chains.insertVersion(
      { chainId: 1, stages, sha256: sha256Of(path), note: path },
      new Date().toISOString(),
    )
    catalogue.close()
  }
  await exportTo(studio, at('b.zip'))
  const back = await importFrom(home, at('b.zip'))
  expect(JSON.parse(back.stdout)).toMatchObject({
    added: [{ kind: 'version' }],
    conflicts: [{ conflict: 'two-ways', kind: 'chain' }],
  })
  const merged = openCatalogue(home)
  expect(merged.chains.versions(1).map(({ number }) => number)).toEqual([2, 2, 1])
  expect(merged.chains.version(version.id)).toMatchObject({ node: version.node, stages: version.stages })
  merged.close()
}, 120_000)

it('asks about an artist of the same name, and takes the answer', async () => {
  mkdirSync(at('asked'))
  const catalogue = openCatalogue(at('asked', 'catalogue.sqlite'))
  const own = catalogue.artists.insert({ name: 'Zoë Ångström', note: '' }, '2026-11-25T09:00:00.000Z')
  catalogue.close()
  const asked = await importFrom(at('asked', 'catalogue.sqlite'), at('a.zip'))
  expect(asked.status).toBe(2)
  const { failure } = JSON.parse(asked.stdout) as { failure: { code: string; details: { artist: string } } }
  expect(failure.code).toBe('conflict')
  const { artist } = failure.details
  expect(asked.stderr).toContain(`--artist ${artist}=new`)
  const wrong = await importFrom(
    at('asked', 'catalogue.sqlite'),
    at('a.zip'),
    '--artist',
    `${artist}=somebody`,
  )
  expect(wrong.status).toBe(2)
  const answered = await importFrom(
    at('asked', 'catalogue.sqlite'),
    at('a.zip'),
    '--artist',
    `${artist}=${own.id}`,
  )
  expect(answered.status, answered.stderr).toBe(0)
  const after = openCatalogue(at('asked', 'catalogue.sqlite'))
  expect(after.artists.list()).toHaveLength(1)
  expect(after.voices.list(own.id)).toHaveLength(1)
  after.close()
}, 120_000)

it('refuses to write over a file, a voice that is not there and a file that is no history', async () => {
  const home = at('home', 'catalogue.sqlite')
  const bytes = readFileSync(at('a.zip'))
  expect(await exportTo(home, at('a.zip'))).toMatchObject({ status: 2 })
  expect(readFileSync(at('a.zip'))).toEqual(bytes)
  const strange = await runTakeloft([
    'export-voice',
    '--catalogue',
    home,
    '--voice',
    '99',
    '--out',
    at('c.zip'),
  ])
  expect(strange).toMatchObject({ status: 2, sentence: 'There is no voice with the id 99 in the catalogue.' })
  expect(existsSync(at('c.zip'))).toBe(false)
  writeFileSync(at('no.zip'), 'no zip')
  expect((await importFrom(home, at('no.zip'))).status).toBe(2)
}, 120_000)
