// Damage to a catalogue: seen when it is opened, said in a sentence, and undone with the snapshot
// that the sentence names.

import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs'
import { basename, dirname, extname, join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { Failure } from '../../app/contract/failure.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'
import { checkCatalogueFile, keepCatalogueSnapshot } from '../../db/care/checked-file.ts'
import { type Snapshot, snapshotsToDrop } from '../../db/care/snapshot-ages.ts'
import { listSnapshots } from '../../db/care/snapshots.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import { fill, minute, newTake } from './entries.ts'
import { failureOf } from './open-for-test.ts'
import { rawOn } from './raw-connection.ts'
import { temporaryFolder } from './temporary-folder.ts'

/** A closed catalogue with rows in every table. */
function filled(): string {
  const path = join(temporaryFolder(), 'catalogue.sqlite')
  const catalogue = openCatalogue(path)
  fill(catalogue)
  for (let n = 0; n < 60; n++) catalogue.takes.insert(newTake(`take ${n}`))
  catalogue.close()
  return path
}

/** All rows of all tables but the search index, by SQLite itself. */
function rowsOf(path: string): string {
  const db = new Database(path, { readonly: true })
  try {
    const names = db
      .prepare<[], string>(
        "SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite%' ORDER BY 1",
      )
      .pluck()
      .all()
    return JSON.stringify(names.map((name) => [name, db.prepare(`SELECT * FROM ${name}`).all()]))
  } finally {
    db.close()
  }
}

it('flipped bits: each catalogue opens with all that was in it, or says that it is damaged', () => {
  const path = filled()
  const sound = readFileSync(path)
  const before = rowsOf(path)
  const random = createRandom(20_261_127)
  const folder = temporaryFolder()
  let refused = 0
  for (let n = 0; n < 250; n++) {
    const flipped = join(folder, `${n}.sqlite`)
    const bytes = Buffer.from(sound)
    const bit = Math.floor(random.uniform() * bytes.length * 8)
    bytes[bit >> 3] ^= 1 << (bit & 7)
    writeFileSync(flipped, bytes)
    try {
      const catalogue = openCatalogue(flipped)
      catalogue.takes.get(1)
      catalogue.ledger.list({ limit: 100 })
      catalogue.close()
      expect(rowsOf(flipped), `bit ${bit}`).toBe(before)
    } catch (error) {
      expect(error, `bit ${bit}`).toBeInstanceOf(Failure)
      expect((error as Failure).code, `bit ${bit}`).toMatch(
        /^(catalogue-damaged|newer-version|invalid-input)$/,
      )
      refused++
    }
    for (const name of [flipped, `${flipped}-wal`, `${flipped}-shm`]) rmSync(name, { force: true })
  }
  // The others hit free space, or what says the same either way.
  expect(refused).toBeGreaterThan(40)
})

describe('a damaged catalogue', () => {
  /** Changes one letter of a note in the file, which SQLite cannot notice. */
  function damage(path: string): void {
    const bytes = readFileSync(path)
    const at = bytes.indexOf('invented for the tests')
    expect(at).toBeGreaterThan(0)
    bytes[at] ^= 1
    writeFileSync(path, bytes)
  }

  function withNote(): string {
    const path = filled()
    const catalogue = openCatalogue(path)
    catalogue.artists.insert({ name: 'One', note: 'invented for the tests' }, minute(1))
    catalogue.close()
    return path
  }

  it('is refused and left as it is, and the sentence says where to turn', () => {
    const path = withNote()
    damage(path)
    const bytes = readFileSync(path)
    const failure = failureOf(() => openCatalogue(path))
    expect(failure).toMatchObject({ code: 'catalogue-damaged', details: { path } })
    expect(failure.message).toMatch(
      /the row artists \[2\] was changed .* put back a copy of the file from your own backup/,
    )
    expect(readFileSync(path).equals(bytes)).toBe(true)
  })

  it('comes back by the snapshot that the sentence names', () => {
    const path = withNote()
    keepCatalogueSnapshot(path, '2026-11-27T10:00:00.000Z')
    const before = rowsOf(path)
    damage(path)
    const { message } = failureOf(() => openCatalogue(path))
    const [, snapshot] = /copy (.+?\.sqlite), kept on 2026-11-27 at 10:00 UTC, to /.exec(message) ?? []
    rmSync(path)
    rmSync(`${path}-wal`, { force: true })
    copyFileSync(snapshot, path)
    openCatalogue(path).close()
    expect(rowsOf(path)).toBe(before)
  })

  it('is not kept as a snapshot', () => {
    const path = withNote()
    damage(path)
    expect(failureOf(() => keepCatalogueSnapshot(path, minute(3))).code).toBe('catalogue-damaged')
    expect(listSnapshots(path)).toEqual([])
  })

  it('with a lost row, a row too many or a reference to nothing is refused', () => {
    for (const harm of [
      "DELETE FROM row_hashes WHERE subject = 'artists'",
      "INSERT INTO row_hashes VALUES ('artists', '[99]', '00000000000000000000000000000000')",
      'PRAGMA foreign_keys = OFF; DELETE FROM mics',
      "UPDATE row_hashes SET hash = '00000000000000000000000000000000' WHERE subject = 'layers'",
    ]) {
      const path = filled()
      const raw = rawOn(path)
      raw.exec(harm)
      raw.close()
      expect(failureOf(() => openCatalogue(path)).code, harm).toBe('catalogue-damaged')
      expect(failureOf(() => checkCatalogueFile(path)).code, harm).toBe('catalogue-damaged')
    }
  })
})

describe('a log without its file', () => {
  it.each(['missing', 'empty'])('is never deleted where the file is %s', (state) => {
    const path = join(temporaryFolder(), 'catalogue.sqlite')
    const catalogue = openCatalogue(path)
    catalogue.artists.insert({ name: 'only in the log', note: '' }, minute(1))
    const alone = join(temporaryFolder(), 'catalogue.sqlite')
    copyFileSync(`${path}-wal`, `${alone}-wal`)
    catalogue.close()
    if (state === 'empty') writeFileSync(alone, '')
    const log = readFileSync(`${alone}-wal`)
    expect(failureOf(() => openCatalogue(alone))).toMatchObject({
      code: 'catalogue-damaged',
      message: expect.stringContaining(`${alone}-wal`),
    })
    expect(readFileSync(`${alone}-wal`).equals(log)).toBe(true)
    expect(existsSync(alone)).toBe(state === 'empty')
  })
})

describe('snapshots', () => {
  it('are kept once for what they hold, and are whole catalogues that only their user can read', () => {
    const path = filled()
    const open = openCatalogue(path)
    open.artists.insert({ name: 'in the log', note: '' }, minute(2))
    keepCatalogueSnapshot(path, '2026-11-27T10:00:00.000Z')
    keepCatalogueSnapshot(path, '2026-11-27T11:00:00.000Z')
    open.artists.insert({ name: 'later', note: '' }, minute(3))
    keepCatalogueSnapshot(path, '2026-11-27T12:00:00.000Z')
    open.close()
    const [newer, older] = listSnapshots(path)
    expect([newer.at, older.at]).toEqual(['2026-11-27T12:00:00Z', '2026-11-27T10:00:00Z'])
    for (const { path: file } of [newer, older]) expect(statSync(file).mode & 0o077).toBe(0)
    const copy = join(temporaryFolder(), 'copy.sqlite')
    copyFileSync(older.path, copy)
    const asThen = openCatalogue(copy)
    expect(asThen.artists.list().map(({ name }) => name)).toContain('in the log')
    expect(asThen.artists.list().map(({ name }) => name)).not.toContain('later')
    asThen.close()
  })

  it('that are old are thinned out: hours of a day, days of a week, weeks, months', () => {
    const now = '2026-11-27T12:00:00.000Z'
    const hourly = Array.from({ length: 24 * 400 }, (_, n): Snapshot => {
      const at = new Date(Date.parse(now) - n * 3_600_000).toISOString()
      return { path: at, at, fingerprint: '', sizeBytes: 1000 }
    })
    const dropped = new Set(snapshotsToDrop(hourly, now))
    const kept = hourly.filter((one) => !dropped.has(one))
    expect(kept[0]).toBe(hourly[0])
    const ageOf = ({ at }: Snapshot): number => (Date.parse(now) - Date.parse(at)) / 3_600_000
    expect(kept.filter((one) => ageOf(one) < 24)).toHaveLength(24)
    expect(kept.filter((one) => ageOf(one) >= 24 && ageOf(one) < 7 * 24)).toHaveLength(6)
    expect(kept.length).toBeLessThan(24 + 7 + 5 + 12)
    expect(Math.max(...kept.map(ageOf))).toBeGreaterThan(300 * 24)
  })

  it('of a catalogue that was emptied by mistake do not push out the one that was full', () => {
    const at = (minutes: number): string => new Date(Date.UTC(2026, 10, 27, 12, minutes)).toISOString()
    const full = { path: 'full', at: at(1), fingerprint: 'a', sizeBytes: 500_000 }
    const empty = { path: 'empty', at: at(2), fingerprint: 'b', sizeBytes: 200_000 }
    expect(snapshotsToDrop([empty, full], at(3))).toEqual([])
    expect(snapshotsToDrop([{ ...empty, sizeBytes: 400_000 }, full], at(3))).toEqual([full])
  })

  it('leave what lies in their folder besides', () => {
    const path = filled()
    const folder = join(dirname(path), `${basename(path, extname(path))} snapshots`)
    mkdirSync(folder)
    writeFileSync(join(folder, 'notes.txt'), 'mine')
    keepCatalogueSnapshot(path, minute(1))
    expect(listSnapshots(path)).toHaveLength(1)
    expect(readdirSync(folder)).toContain('notes.txt')
  })
})
