// Lines of the ledger in words.

import { expect, it } from 'vitest'
import type { LedgerEntry } from '../../app/contract/entities.ts'
import { ledgerWords } from '../../app/words/ledger.ts'

const shared = { at: '2026-11-25T10:00:00.000Z', artistName: 'Zoë', sessionId: 1 }
const take: LedgerEntry = {
  ...shared,
  kind: 'take-imported',
  takeId: 1,
  takeName: 'Refrão 01',
  sampleRateHz: 44_100,
  channels: 1,
  frames: 44_100 * 75 + 44_099,
  micName: 'Großmembran №1',
}

it.each([
  [take, ['take imported', 'Refrão 01', '44.1 kHz, mono, 1:15, Großmembran №1']],
  [
    { ...take, channels: 2, frames: 3, micName: null },
    ['take imported', 'Refrão 01', '44.1 kHz, stereo, 0:00, mic not named'],
  ],
  [
    { ...shared, kind: 'session-created', songTitle: 'Ночь', date: '2026-11-25', sampleRateHz: 48_000 },
    ['session created', 'Ночь', '2026-11-25, 48 kHz'],
  ],
  [
    {
      ...shared,
      kind: 'chain-version-saved',
      chainName: 'Sång',
      version: 2,
      note: 'für später',
      chainId: 2,
      chainVersionId: 3,
    },
    ['chain version saved', 'Sång, version 2', 'für später'],
  ],
  [
    {
      ...{
        ...shared,
        kind: 'chain-version-saved',
        chainName: 'Sång',
        version: 12,
        toldApartBy: '4d2e',
        note: '',
      },
      ...{ chainId: 2, chainVersionId: 3 },
    },
    ['chain version saved', 'Sång, version 12 · 4d2e', ''],
  ],
  [
    {
      ...{ ...shared, kind: 'history-merged', voiceId: 1, name: 'Sung', added: 3 },
      conflicts: [
        { conflict: 'value', kind: 'artist', name: 'Zoe', details: ['Zoë', 'Zoe'] },
        { conflict: 'two-ways', kind: 'chain', name: 'Sång', details: ['v2 · 4d2e', 'v2 · 9c01'] },
      ],
    },
    [
      'history merged',
      'Sung',
      '3 new; the artist Zoe was changed on both computers: Zoë is newer, Zoe is kept here; the chain Sång was edited on both computers: v2 · 4d2e and v2 · 9c01; both are kept',
    ],
  ],
  [{ ...shared, kind: 'artist-created', voiceId: null }, ['artist created', 'Zoë', '']],
  [{ ...shared, kind: 'voice-created', voiceId: 1, voiceName: 'rap' }, ['voice created', 'rap', '']],
  [
    { ...shared, kind: 'song-created', newestSessionId: null, songTitle: 'Ночь' },
    ['song created', 'Ночь', ''],
  ],
  [
    {
      ...shared,
      kind: 'entity-changed',
      voiceId: 1,
      change: 'renamed',
      entity: 'song',
      name: 'Noch',
      otherName: 'Ночь',
    },
    ['song renamed', 'Ночь', 'before: Noch'],
  ],
  [
    {
      ...shared,
      kind: 'entity-changed',
      voiceId: 1,
      change: 'merged',
      entity: 'artist',
      name: 'Zoe',
      otherName: 'Zoë',
    },
    ['artist merged', 'Zoe', 'into Zoë'],
  ],
  [
    {
      ...shared,
      kind: 'entity-changed',
      voiceId: 1,
      change: 'removed',
      entity: 'voice',
      name: 'rap',
      otherName: '',
    },
    ['voice removed', 'rap', ''],
  ],
  [
    {
      ...shared,
      kind: 'bounced',
      bounceId: 1,
      songTitle: 'Ночь',
      part: '',
      stems: 1,
      manifestPath: '/stems/manifest.json',
    },
    ['bounced', 'Ночь', '1 stem, /stems/manifest.json'],
  ],
  [
    {
      ...shared,
      kind: 'bounced',
      bounceId: 2,
      songTitle: 'Ночь',
      part: 'Hook',
      stems: 2,
      manifestPath: '/hook/manifest.json',
    },
    ['bounced', 'Ночь, Hook', '2 stems, /hook/manifest.json'],
  ],
] satisfies [LedgerEntry, string[]][])('reads $kind', (entry, [kind, subject, detail]) => {
  expect(ledgerWords(entry)).toEqual({ kind, subject, detail })
})
