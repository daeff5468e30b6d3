// From one form of the catalogue to the next, with a copy kept first. The migrations after the
// real ones are made up here, since what is tested is how they are run.

import { readdirSync, readFileSync, writeFileSync } from 'node:fs'
import { basename, join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { type Migration, migrate } from '../../db/care/migrate.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { fill } from './entries.ts'
import { failureOf } from './open-for-test.ts'
import { rawOn } from './raw-connection.ts'
import { temporaryFolder } from './temporary-folder.ts'

const last = migrations.at(-1)!.number

const addColour: Migration = {
  number: last + 1,
  migrate: (db) => db.exec("ALTER TABLE artists ADD COLUMN colour TEXT NOT NULL DEFAULT 'ink'"),
}
/** Rebuilds a table that others refer to, as SQLite's own recipe has it: https://www.sqlite.org/lang_altertable.html, 7. */
const rebuildMics: Migration = {
  number: last + 2,
  migrate: (db) =>
    db.exec(`
      CREATE TABLE mics_rebuilt (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL, serial TEXT NOT NULL,
        pattern TEXT NOT NULL, note TEXT NOT NULL, created_at TEXT NOT NULL, uuid TEXT) STRICT;
      INSERT INTO mics_rebuilt SELECT * FROM mics;
      DROP TABLE mics;
      ALTER TABLE mics_rebuilt RENAME TO mics`),
}

function filled() {
  const path = join(temporaryFolder(), 'catalogue.takeloft')
  const catalogue = openCatalogue(path)
  const made = fill(catalogue)
  catalogue.close()
  return { path, made, folder: join(path, '..') }
}

/** Every row of every table, as it stands in the file. */
function tablesOf(path: string): Record<string, unknown[]> {
  const db = new Database(path, { readonly: true })
  const names = db
    .prepare<[], string>("SELECT name FROM sqlite_schema WHERE type = 'table' AND sql NOT LIKE '%VIRTUAL%'")
    .pluck()
    .all()
  const tables = Object.fromEntries(names.map((name) => [name, db.prepare(`SELECT * FROM ${name}`).all()]))
  db.close()
  return tables
}

const versionOf = (path: string): number => readFileSync(path).readUInt32BE(60)

describe('the list of migrations', () => {
  it('counts from 1 without a gap', () => {
    expect(migrations.map(({ number }) => number)).toEqual(migrations.map((_, k) => k + 1))
  })
})

describe('an older catalogue', () => {
  it('is taken to the newest form with all its rows, after one copy was kept', () => {
    const { path, made, folder } = filled()
    const before = tablesOf(path)
    const catalogue = openCatalogue(path, [...migrations, addColour, rebuildMics])
    expect(catalogue.takes.get(made.take.id)).toEqual(made.take)
    expect(catalogue.mics.list()).toEqual([made.mic])
    catalogue.close()

    const copy = `${path}.before-${last + 1}`
    expect(readdirSync(folder).sort()).toEqual([basename(path), basename(copy)])
    expect([versionOf(copy), versionOf(path)]).toEqual([last, last + 2])
    expect(tablesOf(copy)).toEqual(before)
    // Hashes follow the columns.
    const { sqlite_sequence: _, row_hashes: __, ...after } = tablesOf(path)
    const { sqlite_sequence: ___, row_hashes: ____, ...kept } = before
    expect(after).toEqual({
      ...kept,
      artists: kept.artists!.map((row) => ({ ...(row as object), colour: 'ink' })),
    })
    const asBefore = openCatalogue(copy)
    expect(asBefore.layers.get(made.layer.id)).toEqual(made.layer)
    asBefore.close()
  })

  it('is in its newest form then, and no copy is kept again', () => {
    const { path, folder } = filled()
    openCatalogue(path, [...migrations, addColour]).close()
    const names = readdirSync(folder)
    const copy = readFileSync(`${path}.before-${last + 1}`)
    openCatalogue(path, [...migrations, addColour]).close()
    expect(readdirSync(folder)).toEqual(names)
    expect(readFileSync(`${path}.before-${last + 1}`)).toEqual(copy)
    expect(failureOf(() => openCatalogue(path)).code).toBe('newer-version')
  })

  it('is copied with what stands only in its log', () => {
    const { path } = filled()
    const open = openCatalogue(path)
    const artist = open.artists.insert({ name: 'in the log', note: '' }, '2026-11-25T10:00:00.000Z')
    openCatalogue(path, [...migrations, addColour]).close()
    open.close()
    const copy = openCatalogue(`${path}.before-${last + 1}`)
    expect(copy.artists.get(artist.id)).toEqual(artist)
    copy.close()
  })

  it('is left alone when another process was quicker', () => {
    const { path } = filled()
    const db = rawOn(path)
    let isFirst = true
    const overtaken: Migration = {
      get number() {
        if (isFirst) {
          isFirst = false
          openCatalogue(path, [...migrations, addColour]).close()
        }
        return addColour.number
      },
      migrate: addColour.migrate,
    }
    migrate(db, [overtaken])
    db.close()
    expect(isFirst).toBe(false)
    expect(versionOf(path)).toBe(last + 1)
  })

  it('leaves a copy that is there as it is, and keeps another beside it', () => {
    const { path, folder } = filled()
    const copy = `${path}.before-${last + 1}`
    for (const name of [copy, `${copy}-2`, `${copy}.part`]) writeFileSync(name, 'earlier')
    openCatalogue(path, [...migrations, addColour]).close()
    expect(readdirSync(folder)).toHaveLength(5)
    for (const name of [copy, `${copy}-2`, `${copy}.part`]) expect(readFileSync(name, 'utf8')).toBe('earlier')
    expect(versionOf(`${copy}-3`)).toBe(last)
  })
})

describe('a migration that fails', () => {
  it.each([
    [
      'throws',
      'no such thing',
      () => {
        throw new Error('no such thing')
      },
    ],
    [
      'breaks a reference',
      'dangling references',
      (db: Database.Database) => {
        db.exec('DELETE FROM mics')
      },
    ],
  ])('because it %s leaves the form before it, whole', (_, message, harm) => {
    const { path, made } = filled()
    const before = tablesOf(path)
    const failing: Migration = {
      number: last + 2,
      migrate(db) {
        db.exec('DELETE FROM layers; CREATE TABLE half (a) STRICT'.replace('(a)', '(a TEXT)'))
        harm(db)
      },
    }
    expect(() => openCatalogue(path, [...migrations, addColour, failing])).toThrow(message)
    expect(versionOf(path)).toBe(last + 1)
    expect(tablesOf(path)).toMatchObject({ layers: before.layers, mics: before.mics })
    expect(tablesOf(path)).not.toHaveProperty('half')
    const catalogue = openCatalogue(path, [...migrations, addColour])
    expect(catalogue.layers.get(made.layer.id)).toEqual(made.layer)
    catalogue.close()
  })

  it('is not begun on a damaged file, and no copy of the damage is kept', () => {
    const { path, folder } = filled()
    // The number of free pages, which no query and no copy looks at but the next write trusts:
    // https://www.sqlite.org/fileformat2.html, 1.3.10.
    const bytes = readFileSync(path)
    bytes.writeUInt32BE(bytes.readUInt32BE(36) + 3, 36)
    writeFileSync(path, bytes)
    const failure = failureOf(() => openCatalogue(path, [...migrations, addColour]))
    expect(failure.code).toBe('catalogue-damaged')
    expect(readFileSync(path)).toEqual(bytes)
    expect(readdirSync(folder)).toEqual([basename(path)])
  })
})
