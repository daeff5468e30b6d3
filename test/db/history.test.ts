// What history rests on: takes and chain versions stay as they were, and nothing that is in use goes.

import { describe, expect, it } from 'vitest'
import { fill, minute, newSession, newTake, sha256Of, stages } from './entries.ts'
import { failureOf, openForTest } from './open-for-test.ts'
import { rawOn } from './raw-connection.ts'

describe('a take', () => {
  it.each([
    ['sha256', sha256Of('other')],
    ['frames', 1],
    ['sample_rate_hz', 44_100],
    ['channels', 2],
    ['container', 'aiff'],
    ['encoding', 'pcm-16'],
    ['facts', '{}'],
    ['imported_at', minute(59)],
    ['id', 9],
  ])('keeps its %s', (column, value) => {
    const catalogue = openForTest()
    const { take } = fill(catalogue)
    const raw = rawOn(catalogue.path)
    expect(() => raw.prepare(`UPDATE takes SET ${column} = ? WHERE id = ?`).run(value, take.id)).toThrow(
      'the bytes, the format and the facts of a take cannot be changed',
    )
    raw.close()
    expect(catalogue.takes.get(take.id)).toEqual(take)
  })

  it('is there once for its bytes', () => {
    const { takes, foundTakes } = openForTest()
    const take = takes.insert(newTake('one'))
    const failure = failureOf(() => takes.insert(newTake('two', { sha256: take.sha256 })))
    expect(failure.code).toBe('conflict')
    expect(takes.findBySha256(take.sha256)).toEqual(take)
    expect(takes.findBySha256(sha256Of('none'))).toBeUndefined()
    expect(foundTakes.list({ search: '', limit: 10, offset: 0 })).toHaveLength(1)
  })

  it('is linked to a session once, however often it is asked for', () => {
    const { takes, ...catalogue } = openForTest()
    const { session, take } = fill({ takes, ...catalogue })
    takes.linkToSession(session.id, take.id)
    expect(takes.listOfSession(session.id)).toEqual([take])
    expect(failureOf(() => takes.linkToSession(99, take.id)).code).toBe('not-found')
  })

  it('has a curve only of its own mic', () => {
    const catalogue = openForTest()
    const { take, mic, curve } = fill(catalogue)
    const other = catalogue.mics.insert({ name: 'other', serial: '', pattern: 'omni', note: '' }, minute(9))
    const target = catalogue.curves.insert({ ...curve, id: undefined, micId: null }, minute(9))
    for (const changes of [{ micId: other.id }, { micId: null }, { curveId: target.id }]) {
      expect(failureOf(() => catalogue.takes.update(take.id, changes)).code).toBe('conflict')
    }
    expect(failureOf(() => catalogue.takes.insert(newTake('x', { curveId: curve.id }))).message).toContain(
      'without a mic',
    )
    expect(catalogue.takes.get(take.id)).toMatchObject({ micId: mic.id, curveId: curve.id })
    expect(catalogue.takes.update(take.id, { micId: other.id, curveId: null }).micId).toBe(other.id)

    const raw = rawOn(catalogue.path)
    expect(() => raw.prepare('UPDATE takes SET curve_id = ?').run(curve.id)).toThrow('FOREIGN KEY')
    raw.close()
  })
})

describe('a chain version', () => {
  it('cannot be changed or removed, by whatever connection', () => {
    const catalogue = openForTest()
    const { version } = fill(catalogue)
    const raw = rawOn(catalogue.path)
    for (const column of ['stages', 'note', 'number', 'created_at', 'chain_id']) {
      expect(() => raw.exec(`UPDATE chain_versions SET ${column} = ${column}`)).toThrow('cannot be changed')
    }
    expect(() => raw.exec('DELETE FROM chain_versions')).toThrow('cannot be removed')
    raw.close()
    expect(catalogue.chains.version(version.id)).toEqual(version)
  })

  it('gets the number after the last of its own chain', () => {
    const { chains, ...rest } = openForTest()
    const { chain, voice, version } = fill({ chains, ...rest })
    const other = chains.insert({ voiceId: voice.id, name: 'other' }, minute(9))
    const save = (chainId: number, note: string) =>
      chains.insertVersion({ chainId, stages, sha256: sha256Of(note), note }, minute(10))
    const second = save(chain.id, 'second')
    const first = save(other.id, 'first of the other')
    const third = save(chain.id, 'third')
    expect([second, first, third].map((saved) => saved.number)).toEqual([2, 1, 3])
    expect(chains.versions(chain.id)).toEqual([third, second, version])
    expect(chains.latestOfVoice(voice.id)).toEqual(third)
    expect(failureOf(() => save(99, 'nowhere')).details).toEqual({ what: 'chain', id: 99 })
  })

  it('whose stages no longer read as stages is said to be damaged, with its name', () => {
    const catalogue = openForTest()
    const { chain } = fill(catalogue)
    const raw = rawOn(catalogue.path)
    raw
      .prepare(
        `INSERT INTO chain_versions (chain_id, number, stages, sha256, note, created_at, parents, machine, node)
         SELECT ?, 2, '[{"kind":"echo","on":true,"settings":{}}]', ?, '', ?, '[]', uuid, ? FROM machines`,
      )
      .run(chain.id, sha256Of('echo'), minute(9), sha256Of('node'))
    raw.close()
    const failure = failureOf(() => catalogue.chains.versions(chain.id))
    expect(failure.code).toBe('catalogue-damaged')
    expect(failure.message).toContain('version 2 of the chain "Sång"')
  })
})

describe('what is in use', () => {
  it.each(['artists', 'voices', 'mics', 'curves', 'songs', 'sessions', 'takes', 'session_takes', 'chains'])(
    'stays: %s',
    (table) => {
      const catalogue = openForTest()
      fill(catalogue)
      const raw = rawOn(catalogue.path)
      expect(() => raw.exec(`DELETE FROM ${table}`)).toThrow('FOREIGN KEY')
      raw.close()
    },
  )

  it('is said of a curve with the number of takes, and a free curve goes', () => {
    const catalogue = openForTest()
    const { curve, take } = fill(catalogue)
    const failure = failureOf(() => catalogue.curves.remove(curve.id))
    expect(failure.code).toBe('conflict')
    expect(failure.message).toContain('"0° – 1 m" stays: 1 take is')
    catalogue.takes.update(take.id, { curveId: null })
    catalogue.curves.remove(curve.id)
    expect(catalogue.curves.list()).toEqual([])
    expect(failureOf(() => catalogue.curves.remove(curve.id)).code).toBe('not-found')
  })

  it('is said of a title that the artist has', () => {
    const catalogue = openForTest()
    const { artist } = fill(catalogue)
    const failure = failureOf(() =>
      catalogue.songs.insert({ artistId: artist.id, title: 'Ночь — 夜' }, minute(9)),
    )
    expect(failure.code).toBe('conflict')
    expect(failure.message).toContain('a song of this title by this artist')
  })
})

describe('the stack', () => {
  it('loses a group with its layers; their takes stay', () => {
    const catalogue = openForTest()
    const { session, group, take } = fill(catalogue)
    catalogue.groups.remove(group.id)
    expect(catalogue.layers.listOfSession(session.id)).toEqual([])
    expect(catalogue.takes.listOfSession(session.id)).toEqual([take])
  })

  it('gets a removed layer back under its id, which no other layer was given meanwhile', () => {
    const catalogue = openForTest()
    const { session, layer } = fill(catalogue)
    const { id: _, position: __, ...fields } = layer
    catalogue.layers.remove(layer.id)
    const other = catalogue.layers.insert(fields)
    expect(other.id).toBeGreaterThan(layer.id)
    expect(catalogue.layers.insert({ ...fields, id: layer.id })).toEqual({ ...layer, position: 1 })
    expect(failureOf(() => catalogue.layers.insert({ ...fields, id: layer.id })).code).toBe('conflict')
    catalogue.layers.setPositions(session.id, [layer.id, other.id])
    expect(catalogue.layers.listOfSession(session.id)).toEqual([layer, { ...other, position: 1 }])
  })

  it('takes an order only of all its layers', () => {
    const catalogue = openForTest()
    const { session, layer } = fill(catalogue)
    const { id: _, position: __, ...fields } = layer
    const second = catalogue.layers.insert(fields)
    for (const order of [[layer.id], [layer.id, layer.id], [layer.id, 99], [layer.id, second.id, 99]]) {
      expect(failureOf(() => catalogue.layers.setPositions(session.id, order)).code).toBe('conflict')
    }
    expect(catalogue.layers.listOfSession(session.id).map((each) => each.id)).toEqual([layer.id, second.id])
  })

  it('takes only groups and takes of its session', () => {
    const catalogue = openForTest()
    const { song, layer, take } = fill(catalogue)
    const later = catalogue.sessions.insert(newSession(song.id), minute(9))
    const group = catalogue.groups.insert({
      sessionId: later.id,
      name: 'lead',
      chainVersionId: null,
      gainDb: 0,
    })
    const { id: _, position: __, ...fields } = layer
    expect(failureOf(() => catalogue.layers.update(layer.id, { groupId: group.id })).message).toContain(
      `no group with the id ${group.id}`,
    )
    const there = { ...fields, sessionId: later.id, groupId: group.id }
    expect(failureOf(() => catalogue.layers.insert(there)).message).toContain(
      'take it into the session first',
    )
    catalogue.takes.linkToSession(later.id, take.id)
    expect(catalogue.layers.insert(there)).toMatchObject({ sessionId: later.id, position: 0 })

    const raw = rawOn(catalogue.path)
    expect(() => raw.prepare('UPDATE layers SET group_id = ? WHERE id = ?').run(group.id, layer.id)).toThrow(
      'FOREIGN KEY',
    )
    raw.close()
  })

  it('changes a layer and counts groups from zero', () => {
    const catalogue = openForTest()
    const { session, layer, group } = fill(catalogue)
    const doubles = catalogue.groups.insert({
      sessionId: session.id,
      name: 'doubles',
      chainVersionId: null,
      gainDb: 0,
    })
    expect([group.position, doubles.position]).toEqual([0, 1])
    const changes = { groupId: doubles.id, role: 'double', muted: false, pan: 1, offsetSamples: 480 } as const
    expect(catalogue.layers.update(layer.id, changes)).toEqual({ ...layer, ...changes })
    expect(catalogue.layers.get(layer.id)).toEqual({ ...layer, ...changes })
  })
})

describe('a transaction', () => {
  it('keeps all writes or none, and an inner one can fail alone', () => {
    const catalogue = openForTest()
    const add = (name: string) => catalogue.artists.insert({ name, note: '' }, minute(0))
    expect(() =>
      catalogue.transaction(() => {
        add('gone')
        throw new Error('no')
      }),
    ).toThrow('no')
    const kept = catalogue.transaction(() => {
      const first = add('kept')
      failureOf(() =>
        catalogue.transaction(() => {
          add('gone too')
          catalogue.artists.get(99)
        }),
      )
      return first
    })
    expect(catalogue.artists.list()).toEqual([kept])
  })
})
