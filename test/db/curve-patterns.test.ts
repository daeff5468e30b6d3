// Migration 2, with a catalogue of the form before it; and curves and mics that come and go.

import { join } from 'node:path'
import Database from 'better-sqlite3'
import { describe, expect, it } from 'vitest'
import { openCatalogue } from '../../db/catalogue.ts'
import { migrations } from '../../db/migrations/migrations.ts'
import { fill, minute } from './entries.ts'
import { failureOf, openForTest } from './open-for-test.ts'
import { temporaryFolder } from './temporary-folder.ts'

describe('a catalogue from before patterns and pictures', () => {
  it('keeps every curve, with the pattern of its mic and no picture', () => {
    const path = join(temporaryFolder(), 'catalogue.sqlite')
    const old = new Database(path)
    migrations[0].migrate(old)
    old.pragma('user_version = 1')
    old.exec(`
      INSERT INTO mics VALUES (3, 'One', '', 'figure-8', '', '${minute(0)}');
      INSERT INTO curves VALUES
        (5, 3, 'front', 'data sheet', 0.5, 'p. 2', '{"frequenciesHz":[20,1000,20000],"levelsDb":[-3,0,1]}', '${minute(1)}'),
        (9, NULL, 'aim', 'own', NULL, '', '{"frequenciesHz":[20,1000,20000],"levelsDb":[0,0,2]}', '${minute(2)}');
    `)
    old.close()
    const catalogue = openCatalogue(path)
    expect(catalogue.curves.list()).toEqual([
      {
        id: 9,
        micId: null,
        name: 'aim',
        source: 'own',
        pattern: 'unknown',
        distanceM: null,
        note: '',
        points: { frequenciesHz: [20, 1000, 20_000], levelsDb: [0, 0, 2] },
        picture: null,
      },
      {
        id: 5,
        micId: 3,
        name: 'front',
        source: 'data sheet',
        pattern: 'figure-8',
        distanceM: 0.5,
        note: 'p. 2',
        points: { frequenciesHz: [20, 1000, 20_000], levelsDb: [-3, 0, 1] },
        picture: null,
      },
    ])
    catalogue.close()
  })
})

describe('curves and mics', () => {
  it('change by parts, and a removed one comes back as it was', () => {
    const catalogue = openForTest()
    const { curve } = fill(catalogue)
    const { id: _, ...fields } = curve
    const second = catalogue.curves.insert({ ...fields, name: 'A first by name' }, minute(9))
    expect(catalogue.curves.firstOf(curve.micId!)).toEqual(curve)
    expect(catalogue.curves.update(second.id, { name: 'New', pattern: 'omni', picture: null })).toEqual({
      ...second,
      name: 'New',
      pattern: 'omni',
      picture: null,
    })
    const changed = catalogue.curves.get(second.id)
    catalogue.curves.remove(second.id)
    expect(failureOf(() => catalogue.curves.get(second.id)).code).toBe('not-found')
    expect(catalogue.curves.insert(changed, minute(10))).toEqual(changed)
  })

  it('stay while something hangs on them', () => {
    const catalogue = openForTest()
    const { mic, curve } = fill(catalogue)
    expect(failureOf(() => catalogue.curves.remove(curve.id)).code).toBe('conflict')
    expect(failureOf(() => catalogue.mics.remove(mic.id)).code).toBe('conflict')
    const other = catalogue.mics.insert({ name: 'x', serial: '', pattern: 'omni', note: '' }, minute(9))
    catalogue.mics.remove(other.id)
    expect(catalogue.mics.list()).toEqual([mic])
    expect(catalogue.mics.insert(other, minute(10))).toEqual(other)
  })
})
