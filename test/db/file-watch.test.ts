// A catalogue that is deleted or replaced while it is open: seen at the next save, said, and kept.

import {
  mkdirSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs'
import { dirname, join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it, vi } from 'vitest'
import { openCatalogue } from '../../db/catalogue.ts'
import { minute } from './entries.ts'
import { failureOf, openForTest } from './open-for-test.ts'
import { temporaryFolder } from './temporary-folder.ts'

const artist = (name: string) => ({ name, note: '' })
const rescuedFile = (message: string): string => /was kept in (.+?); close/.exec(message)?.[1] ?? ''

/** What can happen below an open window. */
const MISHAPS: Readonly<Record<string, (path: string) => void>> = {
  deleted: (path) => rmSync(path),
  'deleted with its log': (path) => {
    for (const name of [path, `${path}-wal`, `${path}-shm`]) rmSync(name)
  },
  moved: (path) => renameSync(path, `${path} moved`),
  'replaced by another catalogue': (path) => {
    const other = join(temporaryFolder(), 'other.sqlite')
    openCatalogue(other).close()
    renameSync(other, path)
  },
  'without its log': (path) => rmSync(`${path}-wal`),
  'without its log and index': (path) => {
    for (const name of [`${path}-wal`, `${path}-shm`]) rmSync(name)
  },
  'replaced by another file': (path) => {
    rmSync(path)
    writeFileSync(path, 'not a catalogue')
  },
}

describe.each(Object.entries(MISHAPS))('a catalogue that is %s', (what, mishap) => {
  it('is missed by the next save, which keeps everything, this change too', () => {
    const catalogue = openForTest()
    catalogue.artists.insert(artist('before'), minute(1))
    mishap(catalogue.path)
    const inPlace = what.startsWith('replaced') ? readFileSync(catalogue.path) : null
    const first = failureOf(() => catalogue.artists.insert(artist('after'), minute(2)))
    expect(first).toMatchObject({ code: 'catalogue-gone', details: { path: catalogue.path } })

    // What is there can still be read, and a later save is kept as well.
    expect(catalogue.artists.list()).toHaveLength(2)
    const second = failureOf(() =>
      catalogue.transaction(() => catalogue.artists.insert(artist('later'), minute(3))),
    )
    const rescued = openForTest(rescuedFile(second.message))
    expect(rescued.artists.list().map(({ name }) => name)).toEqual(['after', 'before', 'later'])
    expect(statSync(rescued.path).mode & 0o077).toBe(0)
    expect(
      readdirSync(dirname(catalogue.path)).filter(
        (name) => name.includes(' rescued ') && !name.includes('-'.concat('wal')) && !name.includes('-shm'),
      ),
    ).toHaveLength(1)
    if (inPlace !== null) expect(readFileSync(catalogue.path).equals(inPlace)).toBe(true)
  })
})

it('a catalogue whose whole folder is gone is kept in the home folder', () => {
  const home = temporaryFolder()
  vi.stubEnv('HOME', home)
  const folder = join(temporaryFolder(), 'songs')
  mkdirSync(folder)
  const catalogue = openForTest(join(folder, 'catalogue.sqlite'))
  rmSync(folder, { recursive: true })
  const failure = failureOf(() => catalogue.artists.insert(artist('after'), minute(2)))
  vi.unstubAllEnvs()
  expect(dirname(rescuedFile(failure.message))).toBe(home)
  const rescued = openForTest(rescuedFile(failure.message))
  expect(rescued.artists.list().map(({ name }) => name)).toEqual(['after'])
})

it('reading never complains', () => {
  const catalogue = openForTest()
  catalogue.artists.insert(artist('before'), minute(1))
  rmSync(catalogue.path)
  expect(catalogue.artists.list()).toHaveLength(1)
})

it('closing one that was replaced leaves the other and its log alone', () => {
  const path = join(temporaryFolder(), 'catalogue.sqlite')
  const catalogue = openCatalogue(path)
  catalogue.artists.insert(artist('ours'), minute(1))
  for (const name of [path, `${path}-wal`, `${path}-shm`]) rmSync(name)
  const other = openCatalogue(path)
  other.artists.insert(artist('theirs'), minute(2))
  catalogue.close()
  expect(statSync(`${path}-wal`).size).toBeGreaterThan(0)
  other.close()
  const again = openForTest(path)
  expect(again.artists.list().map(({ name }) => name)).toEqual(['theirs'])
})

it('a log that was cut short is seen at the next save, and said', () => {
  const catalogue = openForTest()
  catalogue.artists.insert(artist('before'), minute(1))
  truncateSync(`${catalogue.path}-wal`, 0)
  const failure = failureOf(() => catalogue.artists.insert(artist('after'), minute(2)))
  expect(failure.code).toBe('catalogue-gone')
  expect(failure.message).toContain('was cut short')
})

it('a second connection that writes, checkpoints and closes is no mishap', () => {
  const catalogue = openForTest()
  catalogue.artists.insert(artist('one'), minute(1))
  for (let n = 0; n < 20; n++) {
    const other = openCatalogue(catalogue.path)
    other.artists.insert(artist(`other ${n}`), minute(2))
    other.close()
    catalogue.artists.insert(artist(`mine ${n}`), minute(3))
  }
  expect(catalogue.artists.list()).toHaveLength(41)
})

it('after a rescue, what is left of the catalogue is refused with the rescued file as the way back', () => {
  const catalogue = openForTest()
  catalogue.artists.insert(artist('before'), minute(1))
  for (const name of ['', '-wal', '-shm']) rmSync(catalogue.path + name)
  const failure = failureOf(() => catalogue.artists.insert(artist('after'), minute(2)))
  catalogue.close()
  const refusal = failureOf(() => openCatalogue(catalogue.path))
  expect(refusal.code).toBe('catalogue-damaged')
  expect(refusal.message).toContain(rescuedFile(failure.message))
})

it('a catalogue that a newer version has migrated meanwhile is written no more', () => {
  const catalogue = openForTest()
  const newer = new Database(catalogue.path)
  newer.pragma('user_version = 999')
  newer.close()
  expect(failureOf(() => catalogue.artists.insert(artist('late'), minute(1))).code).toBe('newer-version')
})
