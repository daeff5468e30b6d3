import { hostname } from 'node:os'
import { describe, expect, it } from 'vitest'
import {
  Artist,
  BounceRecord,
  Chain,
  ChainVersion,
  CurveRecord,
  Group,
  Layer,
  Mic,
  Session,
  Song,
  Take,
  Voice,
} from '../../app/contract/entities.ts'
import { openCatalogue } from '../../db/catalogue.ts'
import { facts, fill, minute, newSession, newTake, sha256Of, stages } from './entries.ts'
import { failureOf, openForTest } from './open-for-test.ts'

describe('every entity, with names in several scripts', () => {
  it('comes back as the contract describes it, and the same after closing and opening again', () => {
    const catalogue = openForTest()
    const made = fill(catalogue)
    const read = (from: typeof catalogue) => ({
      artist: Artist.strict().parse(from.artists.get(made.artist.id)),
      voice: Voice.strict().parse(from.voices.get(made.voice.id)),
      mic: Mic.strict().parse(from.mics.get(made.mic.id)),
      curve: CurveRecord.strict().parse(from.curves.get(made.curve.id)),
      song: Song.strict().parse(from.songs.findByTitle(made.artist.id, 'Ночь — 夜')),
      session: Session.strict().parse(from.sessions.get(made.session.id)),
      take: Take.strict().parse(from.takes.get(made.take.id)),
      chain: Chain.strict().parse(from.chains.get(made.chain.id)),
      version: ChainVersion.strict().parse(from.chains.version(made.version.id)),
      group: Group.strict().parse(from.groups.get(made.group.id)),
      layer: Layer.strict().parse(from.layers.get(made.layer.id)),
      bounce: BounceRecord.strict().parse(from.bounces.get(made.bounce.id)),
    })
    expect(read(catalogue)).toEqual(made)

    catalogue.close()
    const again = openCatalogue(catalogue.path)
    expect(read(again)).toEqual(made)
    again.close()
  })

  it('is what was handed in', () => {
    const made = fill(openForTest())
    expect(made.artist).toEqual({ id: 1, name: 'Zoë Ångström', note: 'приятно 🎙️' })
    expect(made.take).toEqual({
      ...newTake('Refrão 01', { voiceId: 1, micId: 1, curveId: 1, importedAt: minute(6) }),
      id: 1,
      copies: [],
    })
    expect(made.take.facts).toEqual(facts)
    expect(made.session).toMatchObject({
      artistName: 'Zoë Ångström',
      songTitle: 'Ночь — 夜',
      tempoBpm: 92.5,
      beatsPerBar: 4,
      notes: 'a\nb',
    })
    expect(made.version).toEqual({
      id: 1,
      chainId: 1,
      voiceId: 1,
      chainName: 'Sång',
      number: 1,
      stages,
      sha256: sha256Of('stages'),
      note: 'für später',
      createdAt: minute(7),
      node: made.version.node,
      parents: [],
      machineName: hostname(),
      sharesNumber: false,
    })
    expect(made.layer).toMatchObject({ offsetSamples: -2_000_000_000, gainDb: 0.1, pan: -0.333, muted: true })
    expect(made.bounce).toMatchObject({
      songTitle: 'Ночь — 夜',
      artistName: 'Zoë Ångström',
      createdAt: minute(8),
    })
  })
})

describe('lists', () => {
  it('sort names as people do, not as bytes stand', () => {
    const { artists } = openForTest()
    for (const name of ['Zed', 'émile', 'Emil 10', 'Ärlig', 'Emil 9'])
      artists.insert({ name, note: '' }, minute(0))
    expect(artists.list().map((artist) => artist.name)).toEqual([
      'Ärlig',
      'Emil 9',
      'Emil 10',
      'émile',
      'Zed',
    ])
  })

  it('give what belongs to one artist, mic, voice or session where asked', () => {
    const catalogue = openForTest()
    const made = fill(catalogue)
    const other = catalogue.artists.insert({ name: 'Other', note: '' }, minute(9))
    const rap = catalogue.voices.insert({ artistId: other.id, name: 'rap', note: '' }, minute(9))
    const song = catalogue.songs.insert({ artistId: other.id, title: 'Ночь — 夜' }, minute(9))
    const session = catalogue.sessions.insert(newSession(song.id), minute(9))
    const target = catalogue.curves.insert(
      { ...made.curve, id: undefined, micId: null, name: 'a target' },
      minute(9),
    )
    const chain = catalogue.chains.insert({ voiceId: rap.id, name: 'dry' }, minute(9))

    expect(catalogue.voices.list(other.id)).toEqual([rap])
    expect(catalogue.voices.list()).toHaveLength(2)
    expect(catalogue.songs.list(other.id)).toEqual([song])
    expect(catalogue.songs.list()).toEqual([song, made.song])
    expect(catalogue.songs.findByTitle(other.id, 'Nacht')).toBeUndefined()
    expect(catalogue.curves.list(made.mic.id)).toEqual([made.curve])
    expect(catalogue.curves.list()).toEqual([made.curve, target])
    expect(catalogue.mics.list()).toEqual([made.mic])
    expect(catalogue.chains.list(rap.id)).toEqual([chain])
    expect(catalogue.chains.list()).toEqual([chain, made.chain])
    expect(catalogue.bounces.list({ sessionId: session.id })).toEqual([])
    const theirs = catalogue.bounces.insert({ ...made.bounce, sessionId: session.id }, minute(10))
    expect(catalogue.bounces.list()).toEqual([theirs, made.bounce])
    expect(catalogue.bounces.list({ artistId: other.id })).toEqual([theirs])
    expect(catalogue.bounces.list({ artistId: made.artist.id })).toEqual([made.bounce])
    expect(catalogue.takes.listOfSession(session.id)).toEqual([])
    expect(catalogue.takes.listOfSession(made.session.id)).toEqual([made.take])
    expect(catalogue.groups.listOfSession(made.session.id)).toEqual([made.group])
    expect(catalogue.layers.listOfSession(made.session.id)).toEqual([made.layer])
  })

  it('put the newest session first: by its day, then by its making', () => {
    const { artists, songs, sessions } = openForTest()
    const artist = artists.insert({ name: 'A', note: '' }, minute(0))
    const song = songs.insert({ artistId: artist.id, title: 'S' }, minute(0))
    for (const date of ['2026-11-20', '2026-11-25', '2025-12-31', '2026-11-25']) {
      sessions.insert(newSession(song.id, { date }), minute(0))
    }
    expect(sessions.list().map((session) => session.id)).toEqual([4, 2, 1, 3])
  })
})

describe('changes', () => {
  it('alter what is named and leave the rest, with null as a value', () => {
    const catalogue = openForTest()
    const { artist, voice, mic, session, take, group, version } = fill(catalogue)
    expect(catalogue.artists.update(artist.id, { note: 'n' })).toEqual({ ...artist, note: 'n' })
    expect(catalogue.voices.update(voice.id, { name: 'n', note: undefined })).toEqual({ ...voice, name: 'n' })
    expect(catalogue.mics.update(mic.id, { serial: '0042', pattern: 'omni' })).toEqual({
      ...mic,
      serial: '0042',
      pattern: 'omni',
    })
    const shared = { chainSharing: 'shared', sharedChainVersionId: version.id, tempoBpm: null } as const
    expect(catalogue.sessions.update(session.id, shared)).toEqual({ ...session, ...shared })
    expect(catalogue.takes.update(take.id, { name: 'b', curveId: null })).toEqual({
      ...take,
      name: 'b',
      curveId: null,
    })
    expect(catalogue.groups.update(group.id, { gainDb: 2, chainVersionId: null })).toEqual({
      ...group,
      gainDb: 2,
      chainVersionId: null,
    })
    expect(catalogue.sessions.get(session.id)).toMatchObject(shared)
  })
})

describe('the places of a take', () => {
  it('are its file and its copies, each once, and none is forgotten when it moves', () => {
    const catalogue = openForTest()
    const { take } = fill(catalogue)
    const { takes } = catalogue
    const [here, stick, disk] = [take.path, '/stick/a.wav', '/disk/a.wav']
    takes.noteCopy(take.id, here)
    for (const path of [stick, disk, stick]) takes.noteCopy(take.id, path)
    expect(takes.get(take.id)).toEqual({ ...take, copies: [stick, disk] })
    for (const _ of ['once', 'again']) {
      takes.moveTo(take.id, disk)
      expect(takes.get(take.id)).toEqual({ ...take, path: disk, copies: [stick, here] })
      expect(takes.getOnDisk(take.id)).toEqual({
        ...take,
        path: disk,
        copies: [stick, here],
        facts: undefined,
      })
    }
  })
})

describe('an id that is not there', () => {
  it.each([
    ['artist', 'artists'],
    ['voice', 'voices'],
    ['mic', 'mics'],
    ['curve', 'curves'],
    ['session', 'sessions'],
    ['take', 'takes'],
    ['group', 'groups'],
    ['layer', 'layers'],
    ['chain', 'chains'],
    ['bounce', 'bounces'],
  ] as const)('is named: %s', (what, subject) => {
    const failure = failureOf(() => openForTest()[subject].get(77))
    expect(failure.toData()).toEqual({
      code: 'not-found',
      message: `There is no ${what} with the id 77 in the catalogue.`,
      details: { what, id: 77 },
    })
  })

  it('is named by acts as well', () => {
    const { groups, layers, chains, artists, voices } = openForTest()
    expect(failureOf(() => groups.remove(5)).details).toEqual({ what: 'group', id: 5 })
    expect(failureOf(() => layers.remove(5)).details).toEqual({ what: 'layer', id: 5 })
    expect(failureOf(() => artists.update(5, { name: 'x' })).details).toEqual({ what: 'artist', id: 5 })
    expect(failureOf(() => chains.version(5)).details).toEqual({ what: 'chain version', id: 5 })
    expect(failureOf(() => voices.insert({ artistId: 5, name: 'x', note: '' }, minute(0))).code).toBe(
      'not-found',
    )
    expect(chains.latestOfVoice(5)).toBeUndefined()
  })
})
