// Every kind of line of the ledger leads somewhere.

import { expect, it } from 'vitest'
import { LedgerEntry } from '../../../../app/contract/entities.ts'
import { targetOf } from '../../../../renderer/formats/ledger/entry-target.ts'

const shared = { at: '2026-11-01T10:00:00.000Z', artistName: 'Maren Holt', sessionId: 4 }
const sound = { sampleRateHz: 48_000, channels: 1, frames: 1, micName: null }
const archive = { songTitle: 'Low Tide', takes: 2, path: '/archive' }
const ENTRIES: readonly [unknown, object | null][] = [
  [
    { ...shared, kind: 'take-imported', takeId: 7, takeName: 'hook', ...sound },
    { to: 'take', takeId: 7, sessionId: 4 },
  ],
  [{ ...shared, sessionId: null, kind: 'take-imported', takeId: 7, takeName: 'hook', ...sound }, null],
  [
    { ...shared, kind: 'take-checked', takeId: 7, takeName: 'hook', result: 'rot', path: '/hook.wav' },
    { to: 'take', takeId: 7, sessionId: 4 },
  ],
  [
    { ...shared, kind: 'session-created', songTitle: 'Low Tide', date: '2026-11-01', sampleRateHz: 48_000 },
    { to: 'session', sessionId: 4 },
  ],
  [
    {
      ...{ ...shared, kind: 'chain-version-saved', chainName: 'Rap', version: 2, note: '' },
      ...{ chainId: 1, chainVersionId: 5 },
    },
    { to: 'version', chainId: 1, chainVersionId: 5, sessionId: 4 },
  ],
  [
    { ...shared, kind: 'archived', ...archive },
    { to: 'session', sessionId: 4 },
  ],
  [
    { ...shared, kind: 'restored', ...archive },
    { to: 'session', sessionId: 4 },
  ],
  [
    {
      ...shared,
      kind: 'bounced',
      bounceId: 3,
      songTitle: 'Low Tide',
      part: '',
      stems: 2,
      manifestPath: '/m.json',
    },
    { to: 'bounce', bounceId: 3 },
  ],
  [
    { ...shared, kind: 'delivered', songTitle: 'Low Tide', number: 1, files: 9, folder: '/d', changes: [] },
    { to: 'delivery', delivery: expect.objectContaining({ folder: '/d' }) },
  ],
  [
    { ...shared, kind: 'artist-created', voiceId: 2 },
    { to: 'book', voiceId: 2 },
  ],
  [
    { ...shared, kind: 'voice-created', voiceId: 2, voiceName: 'rap' },
    { to: 'book', voiceId: 2 },
  ],
  [
    { ...shared, sessionId: null, kind: 'song-created', songTitle: 'Low Tide', newestSessionId: 6 },
    { to: 'session', sessionId: 6 },
  ],
  [
    {
      ...{ ...shared, kind: 'entity-changed', voiceId: null, change: 'removed', entity: 'voice' },
      ...{ name: 'rap', otherName: '' },
    },
    null,
  ],
  [
    { ...shared, kind: 'history-merged', voiceId: 2, name: 'rap', added: 1, conflicts: [] },
    { to: 'book', voiceId: 2 },
  ],
]

it.each(ENTRIES)('%j leads to %j', (entry, target) => {
  expect(targetOf(LedgerEntry.parse(entry))).toEqual(target)
})

it('covers every kind', () => {
  const kinds = LedgerEntry.options.map(({ shape }) => shape.kind.value)
  expect(new Set(ENTRIES.map(([entry]) => (entry as LedgerEntry).kind))).toEqual(new Set(kinds))
})
