// Identities that hold on every computer: given at making, by the migration, and kept through removal and merging.

import { createHash } from 'node:crypto'
import { hostname } from 'node:os'
import { join } from 'node:path'
import canonicalize from 'canonicalize'
import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../app/contract/chain-document.ts'
import { findDamagedRow } from '../../db/care/row-hashes.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import type { Named } from '../../db/tables/identity/identities.ts'
import { fill, minute, sha256Of, stages } from './entries.ts'
import { oldCatalogueAt } from './old-catalogue.ts'
import { openForTest } from './open-for-test.ts'
import { rawOn } from './raw-connection.ts'
import { temporaryFolder } from './temporary-folder.ts'

const UUID7 = /^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/
const NAMED: Named[] = ['artists', 'voices', 'mics', 'songs', 'sessions', 'groups', 'layers', 'chains']
/** The first 48 bits of a UUID version 7 (RFC 9562, 5.7). */
const timeOf = (uuid: string): string =>
  new Date(Number.parseInt(uuid.replace('-', '').slice(0, 12), 16)).toISOString()
const sha256 = (text: string): string => createHash('sha256').update(text).digest('hex')

describe('a new row', () => {
  it('has a UUID of the time of its making, by which it is found', () => {
    const catalogue = openForTest()
    const made = fill(catalogue)
    for (const table of NAMED) {
      const uuid = catalogue.identities.uuidOf(table, 1)!
      expect(uuid, table).toMatch(UUID7)
      expect(catalogue.identities.rowOf(table, uuid), table).toBe(1)
    }
    expect(timeOf(catalogue.identities.uuidOf('voices', made.voice.id)!)).toBe(minute(1))
  })

  it('without one is refused, by whatever connection', () => {
    const catalogue = openForTest()
    const raw = rawOn(catalogue.path)
    expect(() => raw.exec("INSERT INTO artists (name, note, created_at) VALUES ('A', '', '')")).toThrow(
      'UUID',
    )
    raw.close()
  })

  it('that restores a removed one has its UUID again: layer, group, mic, and a reverted removal', () => {
    const catalogue = openForTest()
    const { layer, group } = fill(catalogue)
    const { identities, layers, groups, mics, artists, entityChanges } = catalogue
    const uuid = identities.uuidOf('layers', layer.id)!
    layers.remove(layer.id)
    expect(identities.rowOf('layers', uuid)).toBeUndefined()
    layers.insert(layer)
    expect(identities.uuidOf('layers', layer.id)).toBe(uuid)
    const ofGroup = identities.uuidOf('groups', group.id)
    groups.remove(group.id)
    groups.insert(group)
    expect(identities.uuidOf('groups', group.id)).toBe(ofGroup)
    const mic = mics.insert({ name: 'B', serial: '', pattern: 'omni', note: '' }, minute(9))
    const ofMic = identities.uuidOf('mics', mic.id)
    mics.remove(mic.id)
    mics.insert(mic, minute(10))
    expect(identities.uuidOf('mics', mic.id)).toBe(ofMic)
    const artist = artists.insert({ name: 'B', note: '' }, minute(9))
    const ofArtist = identities.uuidOf('artists', artist.id)
    entityChanges.revert(entityChanges.remove('artist', artist.id, minute(10)))
    expect(identities.uuidOf('artists', artist.id)).toBe(ofArtist)
  })
})

it('what was merged into another is found as the other, and as itself again once that is reverted', () => {
  const catalogue = openForTest()
  const { artist } = fill(catalogue)
  const { identities, artists, entityChanges } = catalogue
  const twin = artists.insert({ name: 'Zoe', note: '' }, minute(9))
  const uuid = identities.uuidOf('artists', twin.id)!
  const changeId = entityChanges.merge('artist', twin.id, artist.id, minute(10))
  expect(identities.rowOf('artists', uuid)).toBe(artist.id)
  expect(identities.alsoOf('artists', artist.id)).toEqual([uuid])
  entityChanges.revert(changeId)
  expect(identities.rowOf('artists', uuid)).toBe(twin.id)
  expect(identities.alsoOf('artists', artist.id)).toEqual([])
})

describe('a chain version', () => {
  it('is known by SHA-256 of the RFC 8785 form of all that it says', () => {
    const catalogue = openForTest()
    const { chain, version } = fill(catalogue)
    const next = catalogue.chains.insertVersion(
      { chainId: chain.id, stages, sha256: sha256Of('s'), note: 'n' },
      minute(9),
    )
    // Written out here, so that a field more or less is seen.
    const [machine] = catalogue.identities.machines()
    expect(machine!.name).toBe(hostname())
    const text = canonicalize({
      format: 'takeloft-chain-version',
      v: 1,
      chain: catalogue.identities.uuidOf('chains', chain.id),
      parents: [version.node],
      stages,
      note: 'n',
      machine: machine!.id,
      createdAt: minute(9),
    })!
    expect(next).toMatchObject({ node: sha256(text), parents: [version.node], machineName: hostname() })
  })

  it('has for parents what it was edited from, which need not be the newest, or two that were joined', () => {
    const { chains, ...rest } = openForTest()
    const { chain, version } = fill({ chains, ...rest })
    const save = (note: string, parentIds?: number[]) =>
      chains.insertVersion({ chainId: chain.id, stages, sha256: sha256Of(note), note, parentIds }, minute(9))
    const second = save('second')
    const other = save('edited from the first', [version.id])
    const joined = save('joined', [other.id, second.id])
    expect([second, other, joined].map(({ number, parents }) => [number, parents])).toEqual([
      [2, [version.node]],
      [3, [version.node]],
      [4, [other.node, second.node]],
    ])
    const strange = chains.insert({ voiceId: 1, name: 'other' }, minute(9))
    expect(() =>
      chains.insertVersion(
        { chainId: strange.id, stages, sha256: sha256Of('x'), note: '', parentIds: [second.id] },
        minute(9),
      ),
    ).toThrow('There is no chain version')
  })

  it('of another computer may have a number that is here already; both say so, and the later row is the newest', () => {
    const { chains, identities, ...rest } = openForTest()
    const { chain, version } = fill({ chains, identities, ...rest })
    const here = chains.insertVersion(
      { chainId: chain.id, stages, sha256: sha256Of('a'), note: '' },
      minute(9),
    )
    const [machine] = identities.machines()
    const id = chains.insertForeign({
      ...{ chainId: chain.id, number: 2, stages, sha256: sha256Of('b'), note: '', createdAt: minute(8) },
      ...{ parents: [version.node], machine: machine!.id, node: sha256Of('theirs') },
    })
    expect(chains.versions(chain.id).map((one) => [one.id, one.number, one.sharesNumber])).toEqual([
      [id, 2, true],
      [here.id, 2, true],
      [version.id, 1, false],
    ])
    expect(chains.latestOfVoice(1)!.id).toBe(here.id)
  })
})

describe('a catalogue of the version before', () => {
  const at = (n: number): string => minute(n)
  function oldAt(path: string): void {
    const db = oldCatalogueAt(path, 10)
    const text = JSON.stringify([defaultStages.tone])
    db.exec(`
      INSERT INTO artists (name, note, created_at) VALUES ('A', '', '${at(0)}');
      INSERT INTO voices (artist_id, name, note, created_at) VALUES (1, 'V', '', '${at(1)}');
      INSERT INTO mics (name, serial, pattern, note, created_at) VALUES ('M', '', 'omni', '', '${at(2)}');
      INSERT INTO songs (artist_id, title, created_at) VALUES (1, 'S', '${at(3)}');
      INSERT INTO sessions (song_id, date, sample_rate_hz, tempo_bpm, notes, pan_law, start_of_day_s, chain_sharing, created_at)
        VALUES (1, '2026-11-25', 48000, 90, '', 'minus-3-db', 3600, 'own', '${at(4)}');
      INSERT INTO groups (session_id, name, gain_db, position) VALUES (1, 'Lead', 0, 0);
      INSERT INTO chains (voice_id, name, created_at) VALUES (1, 'C', '${at(5)}'), (1, 'D', '${at(6)}');
      INSERT INTO chain_versions (chain_id, number, stages, sha256, note, created_at) VALUES
        (1, 1, '${text}', '${sha256Of('1')}', 'one', '${at(7)}'), (2, 1, '${text}', '${sha256Of('2')}', '', '${at(8)}'),
        (1, 2, '${text}', '${sha256Of('3')}', 'two', '${at(9)}')`)
    db.close()
  }

  it('has UUIDs by the time of making, and its versions are edited each from the one before', () => {
    const path = join(temporaryFolder(), 'catalogue.takeloft')
    oldAt(path)
    const catalogue = openForTest(path)
    const uuids = (['artists', 'voices', 'mics', 'songs', 'sessions'] as const).map(
      (table) => catalogue.identities.uuidOf(table, 1)!,
    )
    expect(uuids.map(timeOf)).toEqual([at(0), at(1), at(2), at(3), at(4)])
    for (const uuid of uuids) expect(uuid).toMatch(UUID7)
    const [two, one] = catalogue.chains.versions(1)
    expect(catalogue.chains.versions(2)[0]!.parents).toEqual([])
    expect([two!.parents, one!.parents]).toEqual([[one!.node], []])
    // The hash that manifests name is the one that it was.
    expect([one!.sha256, two!.sha256]).toEqual([sha256Of('1'), sha256Of('3')])
    expect(() =>
      catalogue.chains.insertVersion({ chainId: 1, stages, sha256: sha256Of('4'), note: '' }, at(10)),
    ).not.toThrow()
    const raw = rawOn(path)
    expect(findDamagedRow(raw)).toBeNull()
    expect(() => raw.exec("UPDATE chain_versions SET note = ''")).toThrow('cannot be changed')
    raw.close()
  })

  it('copied to another computer before has the same identities on both', () => {
    const [here, there] = [1, 2].map(() => {
      const path = join(temporaryFolder(), 'catalogue.takeloft')
      oldAt(path)
      const catalogue = openCatalogue(path)
      const identities = NAMED.slice(0, 6).map((table) => catalogue.identities.uuidOf(table, 1))
      const nodes = catalogue.chains.versions(1).map(({ node }) => node)
      catalogue.close()
      return [...identities, ...nodes]
    })
    expect(here).toEqual(there)
  })
})
