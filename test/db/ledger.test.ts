import { describe, expect, it } from 'vitest'
import { LedgerEntry } from '../../app/contract/entities.ts'
import { fill, minute, newSession, newTake } from './entries.ts'
import { openForTest } from './open-for-test.ts'

describe('the ledger', () => {
  it('tells everything that was done, newest first, in the shape of the contract', () => {
    const catalogue = openForTest()
    const { session } = fill(catalogue)
    const entries = catalogue.ledger.list({ limit: 10 })
    expect(entries).toEqual([
      {
        at: minute(8),
        kind: 'bounce made',
        artistName: 'Zoë Ångström',
        subject: 'Ночь — 夜',
        detail: '1 stem, /stems/Ночь/manifest.json',
        sessionId: session.id,
      },
      {
        at: minute(7),
        kind: 'chain version saved',
        artistName: 'Zoë Ångström',
        subject: 'Sång, version 1',
        detail: 'für später',
        sessionId: null,
      },
      {
        at: minute(6),
        kind: 'take imported',
        artistName: 'Zoë Ångström',
        subject: 'Refrão 01',
        detail: '48 kHz, mono, 1:15, Großmembran №1',
        sessionId: session.id,
      },
      {
        at: minute(5),
        kind: 'session made',
        artistName: 'Zoë Ångström',
        subject: 'Ночь — 夜',
        detail: '2026-11-25, 48 kHz',
        sessionId: session.id,
      },
    ])
    for (const entry of entries) LedgerEntry.strict().parse(entry)
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
        .filter((entry) => entry.kind === 'take imported')
        .map((entry) => `${entry.subject}: ${entry.artistName}`)
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
      kind: 'session made',
      detail: '2026-11-25, 44.1 kHz',
    })
    expect(told(other.id, 1)).toEqual(['unnamed: Other'])
  })
})
