// Files that are no catalogue, or not one that can be used, are refused and left as they were.

import { execFileSync, spawn } from 'node:child_process'
import { randomBytes } from 'node:crypto'
import {
  chmodSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeFileSync,
} from 'node:fs'
import { join, relative } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it, onTestFinished } from 'vitest'
import { keepCatalogueSnapshot } from '../../db/care/checked-file.ts'
import { listSnapshots } from '../../db/care/snapshots.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { fill, minute } from './entries.ts'
import { failureOf, openForTest } from './open-for-test.ts'
import { rawOn } from './raw-connection.ts'
import { temporaryFolder } from './temporary-folder.ts'

const childWriter = new URL('child-writer.ts', import.meta.url).pathname

/** A closed catalogue with entries. */
function closedCatalogue(): string {
  const path = join(temporaryFolder(), 'catalogue.takeloft')
  const catalogue = openCatalogue(path)
  fill(catalogue)
  catalogue.transaction(() => {
    for (let n = 0; n < 200; n++)
      catalogue.artists.insert({ name: `artist ${n}`, note: 'x'.repeat(200) }, minute(0))
  })
  catalogue.close()
  return path
}

const contents = (path: string): Record<string, string> => {
  const folder = join(path, '..')
  return Object.fromEntries(
    readdirSync(folder).map((name) => [name, readFileSync(join(folder, name), 'hex')]),
  )
}

/** Opens `path`, expects a Failure, and that every file of its folder is as before. */
function refused(path: string) {
  const before = contents(path)
  const failure = failureOf(() => openCatalogue(path))
  expect(contents(path)).toEqual(before)
  return failure
}

describe('a new catalogue', () => {
  it('is one file in WAL mode with its own application id, and a clean close leaves nothing beside it', () => {
    const path = join(temporaryFolder(), 'Katalog ✓ nº1.takeloft')
    const catalogue = openCatalogue(relative(process.cwd(), path))
    expect(catalogue.path).toBe(path)
    expect(catalogue.artists.list()).toEqual([])
    catalogue.close()
    expect(readdirSync(join(path, '..'))).toEqual(['Katalog ✓ nº1.takeloft'])
    // https://www.sqlite.org/fileformat2.html, 1.3: bytes 18 and 19 are 2 in WAL mode, 60 to 63 the user version, 68 to 71 the application id.
    const head = readFileSync(path).subarray(0, 100)
    expect([head[18], head[19]]).toEqual([2, 2])
    expect(head.readUInt32BE(60)).toBe(migrations.at(-1)!.number)
    expect(head.toString('latin1', 68, 72)).toBe('TKLF')
  })
})

describe('refused and left as it was', () => {
  it('an empty file', () => {
    const path = join(temporaryFolder(), 'empty')
    writeFileSync(path, '')
    expect(refused(path).code).toBe('invalid-input')
    expect(readFileSync(path)).toHaveLength(0)
  })

  it.each([0, 1, null])('what is left of a catalogue whose snapshots are there (%s bytes)', (bytes) => {
    const path = closedCatalogue()
    keepCatalogueSnapshot(path, minute(5))
    const [snapshot] = listSnapshots(path)
    const kept = readFileSync(snapshot.path)
    if (bytes === null) rmSync(path)
    else truncateSync(path, bytes)
    const failure = failureOf(() => openCatalogue(path))
    expect(failure.code).toBe('catalogue-damaged')
    expect(failure.message).toContain(snapshot.path)
    expect(readFileSync(snapshot.path).equals(kept)).toBe(true)
    expect(bytes === null ? existsSync(path) : statSync(path).size).toBe(bytes ?? false)

    // The way back that the sentence gives.
    copyFileSync(snapshot.path, path)
    openForTest(path).artists.list()
  })

  it('a file of random bytes', () => {
    const path = join(temporaryFolder(), 'noise')
    writeFileSync(path, randomBytes(20_000))
    expect(refused(path)).toMatchObject({ code: 'catalogue-damaged', details: { path } })
  })

  it('a text', () => {
    const path = join(temporaryFolder(), 'notes.txt')
    writeFileSync(path, 'not a catalogue')
    expect(refused(path).code).toBe('catalogue-damaged')
  })

  it.each([50, 1000, 4096, 20_000])('a catalogue cut off after %i bytes', (bytes) => {
    const path = closedCatalogue()
    truncateSync(path, bytes)
    expect(refused(path).code).toBe('catalogue-damaged')
  })

  it('a catalogue cut off to nothing, with its log still there', () => {
    const path = closedCatalogue()
    const catalogue = openCatalogue(path)
    catalogue.artists.insert({ name: 'in the log', note: '' }, minute(0))
    const cut = join(temporaryFolder(), 'cut')
    copyFileSync(`${path}-wal`, `${cut}-wal`)
    catalogue.close()
    writeFileSync(cut, '')
    expect(refused(cut).code).toBe('catalogue-damaged')
  })

  it('a catalogue whose first page was overwritten', () => {
    const path = closedCatalogue()
    const bytes = readFileSync(path)
    randomBytes(3996).copy(bytes, 100)
    writeFileSync(path, bytes)
    expect(refused(path).code).toBe('catalogue-damaged')
  })

  it('a catalogue without one of its tables', () => {
    const path = closedCatalogue()
    const raw = rawOn(path)
    raw.exec('DROP TABLE bounces')
    raw.close()
    const failure = refused(path)
    expect(failure.code).toBe('catalogue-damaged')
    expect(failure.message).toContain('bounces')
  })

  it("another program's database", () => {
    const path = join(temporaryFolder(), 'other.sqlite')
    const raw = new Database(path)
    raw.exec('CREATE TABLE things (a)')
    raw.close()
    const failure = refused(path)
    expect(failure.code).toBe('invalid-input')
    expect(failure.message).toContain('another program')
  })

  it('a catalogue of a newer version', () => {
    const path = closedCatalogue()
    const raw = new Database(path)
    raw.pragma('user_version = 99')
    raw.close()
    expect(refused(path).toData()).toEqual({
      code: 'newer-version',
      message: `The catalogue ${path} has version 99, and this Takeloft knows up to ${migrations.at(-1)!.number}; update Takeloft to open it.`,
      details: { path, version: 99, newest: migrations.at(-1)!.number },
    })
  })

  it('a folder, and a place in no folder', () => {
    const folder = temporaryFolder()
    mkdirSync(join(folder, 'catalogue'))
    expect(failureOf(() => openCatalogue(join(folder, 'catalogue'))).code).toBe('invalid-input')
    expect(failureOf(() => openCatalogue(join(folder, 'none', 'catalogue')))).toMatchObject({
      code: 'not-found',
    })
    expect(readdirSync(folder)).toEqual(['catalogue'])
  })
})

describe('a place that cannot be written', () => {
  it.runIf(process.platform !== 'win32')('is said of a new file, an old file and a read-only file', () => {
    const folder = join(closedCatalogue(), '..')
    copyFileSync(join(folder, 'catalogue.takeloft'), join(folder, 'old'))
    const readOnly = closedCatalogue()
    chmodSync(join(readOnly, '..'), 0o777)
    chmodSync(readOnly, 0o444)
    chmodSync(join(folder, 'old'), 0o666)
    chmodSync(folder, 0o555)
    onTestFinished(() => chmodSync(folder, 0o755))
    for (const path of [join(folder, 'new'), join(folder, 'old'), readOnly]) {
      const before = contents(path)
      const code = execFileSync(process.execPath, [childWriter, 'say-failure-of-opening', path], {
        encoding: 'utf8',
      })
      expect([path, code.trim()]).toEqual([path, 'not-writable'])
      expect(contents(path)).toEqual(before)
    }
  })

  it.runIf(process.platform === 'linux')('is said of a file system that takes no files', () => {
    expect(failureOf(() => openCatalogue('/proc/catalogue.takeloft')).code).toBe('not-writable')
  })
})

describe('another process', () => {
  it('that keeps the catalogue to itself makes it busy', () => {
    const path = closedCatalogue()
    const other = new Database(path)
    other.pragma('locking_mode = EXCLUSIVE')
    other.exec('BEGIN IMMEDIATE; COMMIT')
    expect(refused(path)).toMatchObject({ code: 'catalogue-busy', details: { path } })
    other.close()
    openForTest(path)
  })

  it('that writes lets it be opened and read, and is waited for before a write', () => {
    const path = closedCatalogue()
    const other = new Database(path)
    other.exec('BEGIN IMMEDIATE')
    const catalogue = openForTest(path)
    const failure = failureOf(() => catalogue.transaction(() => undefined))
    expect(failure).toMatchObject({ code: 'catalogue-busy', details: { path } })
    expect(catalogue.artists.list().length).toBeGreaterThan(200)
    other.exec('ROLLBACK')
    other.close()
    catalogue.artists.insert({ name: 'x', note: '' }, minute(0))
  })

  it('may open the same new file at the same moment', async () => {
    const path = join(temporaryFolder(), 'catalogue.takeloft')
    const ends = await Promise.all(
      [0, 1, 2].map(
        () =>
          new Promise<number | null>((resolve) => {
            spawn(process.execPath, [childWriter, 'add-one', path], {
              stdio: ['ignore', 'ignore', 'inherit'],
            }).on('exit', resolve)
          }),
      ),
    )
    expect(ends).toEqual([0, 0, 0])
    expect(openForTest(path).artists.list()).toHaveLength(3)
    expect(statSync(path).size).toBeGreaterThan(4096)
  })
})

describe('a catalogue whose name ends in a blank', () => {
  it.each([' ', '\t', '\n', '\u00a0'])(
    '%j is refused, and neither it nor a neighbour without it is touched',
    (blank) => {
      const path = closedCatalogue()
      copyFileSync(path, `${path}${blank}`)
      expect(refused(`${path}${blank}`)).toMatchObject({
        code: 'invalid-input',
        message: `The file name of the catalogue “${path}${blank}” ends in a space; rename the file so that it does not.`,
      })
    },
  )

  it('is refused before it is made', () => {
    const folder = temporaryFolder()
    expect(failureOf(() => openCatalogue(join(folder, 'new.sqlite ')))).toMatchObject({
      code: 'invalid-input',
    })
    expect(readdirSync(folder)).toEqual([])
  })
})
