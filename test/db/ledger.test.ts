import { describe, expect, it } from 'vitest'
import { LedgerEntry } from '../../app/contract/entities.ts'
import { fill, minute, newSession, newTake } from './entries.ts'
import { openForTest } from './open-for-test.ts'

describe('the ledger', () => {
  it('tells everything that was done, newest first, in the shape of the contract', () => {
    const catalogue = openForTest()
    const { session, version } = fill(catalogue)
    const entries = catalogue.ledger.list({ limit: 10 })
    expect(entries).toEqual([
      {
        at: minute(8),
        kind: 'bounced',
        bounceId: 1,
        artistName: 'Zoë Ångström',
        songTitle: 'Ночь — 夜',
        part: '',
        stems: 1,
        manifestPath: '/stems/Ночь/manifest.json',
        sessionId: session.id,
      },
      {
        at: minute(7),
        kind: 'chain-version-saved',
        artistName: 'Zoë Ångström',
        chainName: 'Sång',
        version: 1,
        toldApartBy: null,
        note: 'für später',
        chainId: version.chainId,
        chainVersionId: version.id,
        sessionId: session.id,
      },
      {
        at: minute(6),
        kind: 'take-imported',
        takeId: 1,
        artistName: 'Zoë Ångström',
        takeName: 'Refrão 01',
        sampleRateHz: 48_000,
        channels: 1,
        frames: 48_000 * 75,
        micName: 'Großmembran №1',
        sessionId: session.id,
      },
      {
        at: minute(5),
        kind: 'session-created',
        artistName: 'Zoë Ångström',
        songTitle: 'Ночь — 夜',
        date: '2026-11-25',
        sampleRateHz: 48_000,
        sessionId: session.id,
      },
      {
        at: minute(4),
        kind: 'song-created',
        newestSessionId: session.id,
        artistName: 'Zoë Ångström',
        songTitle: 'Ночь — 夜',
        sessionId: null,
      },
      {
        at: minute(1),
        kind: 'voice-created',
        voiceId: 1,
        artistName: 'Zoë Ångström',
        voiceName: '歌声',
        sessionId: null,
      },
      { at: minute(0), kind: 'artist-created', voiceId: 1, artistName: 'Zoë Ångström', sessionId: null },
    ])
    // Nothing that the contract does not know, which a parse would drop.
    for (const entry of entries) expect(LedgerEntry.parse(entry)).toEqual(entry)
    expect(catalogue.ledger.list({ limit: 2 })).toEqual(entries.slice(0, 2))
  })

  it('keeps to one artist, with takes whose voice is not named counted to the first session', () => {
    const catalogue = openForTest()
    const { artist, session } = fill(catalogue)
    const other = catalogue.artists.insert({ name: 'Other', note: '' }, minute(9))
    const voice = catalogue.voices.insert({ artistId: other.id, name: 'rap', note: '' }, minute(9))
    const song = catalogue.songs.insert({ artistId: other.id, title: 'Song' }, minute(9))
    const later = catalogue.sessions.insert(newSession(song.id, { sampleRateHz: 44_100 }), minute(10))
    const add = (name: string, at: number, sessions: number[], voiceId: number | null = null) => {
      const take = catalogue.takes.insert(
        newTake(name, { importedAt: minute(at), voiceId, channels: 2, sampleRateHz: 44_100 }),
      )
      for (const id of sessions) catalogue.takes.linkToSession(id, take.id)
    }
    add('guest', 11, [session.id], voice.id)
    add('unnamed', 12, [later.id])
    add('borrowed', 13, [session.id, later.id])
    add('loose', 14, [])

    const told = (artistId?: number, limit = 100) =>
      catalogue.ledger
        .list({ artistId, limit })
        .filter((entry) => entry.kind === 'take-imported')
        .map((entry) => `${entry.takeName}: ${entry.artistName}`)
    expect(told()).toEqual([
      'loose: ',
      'borrowed: Zoë Ångström',
      'unnamed: Other',
      'guest: Other',
      'Refrão 01: Zoë Ångström',
    ])
    expect(told(other.id)).toEqual(['unnamed: Other', 'guest: Other'])
    expect(told(artist.id)).toEqual(['borrowed: Zoë Ångström', 'Refrão 01: Zoë Ångström'])
    expect(catalogue.ledger.list({ artistId: other.id, limit: 100 })[2]).toMatchObject({
      kind: 'session-created',
      sampleRateHz: 44_100,
    })
    expect(told(other.id, 1)).toEqual(['unnamed: Other'])
  })

  it('puts archives and restored sessions to the session they are of, also under an identity of another computer', () => {
    const catalogue = openForTest()
    const { artist, session } = fill(catalogue)
    const uuid = catalogue.identities.uuidOf('sessions', session.id)!
    const other = '0190b1de-0000-7000-8000-000000000001'
    catalogue.identities.join('sessions', session.id, other)
    const add = (act: 'archived' | 'restored', sessionUuid: string, at: number) =>
      catalogue.archives.insert(
        {
          ...{ act, sessionUuid, artistId: artist.id, artistName: artist.name },
          ...{ songTitle: 'Ночь — 夜', path: '/archives/one', takes: 1 },
        },
        minute(at),
      )
    add('archived', uuid, 20)
    add('restored', other, 21)
    add('archived', '0190b1de-0000-7000-8000-000000000002', 22)
    const told = catalogue.ledger.list({ limit: 3 })
    expect(told.map(({ kind, sessionId }) => [kind, sessionId])).toEqual([
      ['archived', null],
      ['restored', session.id],
      ['archived', session.id],
    ])
    expect(catalogue.ledger.list({ artistId: artist.id, limit: 3 })).toEqual(told)
    for (const entry of told) expect(LedgerEntry.parse(entry)).toEqual(entry)
  })
})
