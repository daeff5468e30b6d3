// The ledger folded by session: what is summed, found and filtered.

import { expect, it } from 'vitest'
import type { LedgerEntry, ListedSession } from '../../../app/contract/entities.ts'
import { foldLedger, type LedgerFilter } from '../../../renderer/formats/ledger/fold-ledger.ts'

const session = (id: number, songTitle: string): ListedSession => ({
  id,
  songId: id,
  artistId: 1,
  artistName: 'Maren Holt',
  songTitle,
  date: `2026-11-0${id}`,
  sampleRateHz: 48_000,
  tempoBpm: null,
  beatsPerBar: 4,
  beatUnit: 4,
  tempoChanges: [],
  notes: '',
  panLaw: 'minus-3-db',
  startOfDayS: 3600,
  chainSharing: 'own',
  sharedChainVersionId: null,
  createdAt: '2026-11-01T10:00:00.000Z',
  takes: 0,
})
const shared = (minute: number, sessionId: number | null) => ({
  at: new Date(Date.UTC(2026, 10, 1, 10, minute)).toISOString(),
  artistName: 'Maren Holt',
  sessionId,
})
const take = (minute: number, sessionId: number, takeName: string): LedgerEntry => ({
  ...shared(minute, sessionId),
  kind: 'take-imported',
  takeId: minute,
  takeName,
  sampleRateHz: 48_000,
  channels: 1,
  frames: 48_000,
  micName: null,
})
const ENTRIES: LedgerEntry[] = [
  take(9, 2, 'hook 2'),
  {
    ...shared(8, 1),
    kind: 'bounced',
    bounceId: 1,
    songTitle: 'Paper Sky',
    part: '',
    stems: 3,
    manifestPath: '/out/manifest.json',
  },
  take(7, 1, 'verse two'),
  {
    ...shared(6, 1),
    kind: 'chain-version-saved',
    chainName: 'Rap main',
    version: 2,
    note: 'less air',
    chainId: 1,
    chainVersionId: 5,
  },
  take(5, 1, 'verse one'),
  { ...shared(4, null), kind: 'voice-created', voiceId: 1, voiceName: 'rap' },
]
const SESSIONS = [session(1, 'Paper Sky'), session(2, 'Low Tide')]
const CHAINS = [{ sessionId: 1, chainVersionId: 5, chainName: 'Rap main', number: 2 }]
const outline = (search = '', filter: LedgerFilter | null = null) =>
  foldLedger(ENTRIES, SESSIONS, CHAINS, search, filter).map(({ title, lines }) => [
    title,
    ...lines.map((line) => (line.is === 'imports' ? line.title : line.words.subject)),
  ])

it('folds by session in the order of the newest line, with imports summed where the newest of them was', () => {
  expect(outline()).toEqual([
    ['Low Tide', 'hook 2'],
    ['Paper Sky', 'Paper Sky', '2 takes imported', 'Rap main, version 2'],
    ['Outside of sessions', 'rap'],
  ])
  const [, paperSky] = foldLedger(ENTRIES, SESSIONS, CHAINS, '', null)
  expect(paperSky).toMatchObject({ entries: 4, chains: CHAINS, session: { id: 1 } })
})

it.each([
  ['paper VERSE', null, [['Paper Sky', '2 takes imported']]],
  ['verse one', null, [['Paper Sky', 'verse one']]],
  ['less air', null, [['Paper Sky', 'Rap main, version 2']]],
  ['holt bounced', null, [['Paper Sky', 'Paper Sky']]],
  ['nothing like it', null, []],
  ['', 'chains', [['Paper Sky', 'Rap main, version 2']]],
  ['', 'people', [['Outside of sessions', 'rap']]],
  ['hook', 'bounces', []],
] as const)('finds "%s" of kind %s', (search, filter, found) => {
  expect(outline(search, filter)).toEqual(found)
})

it('keeps the keys of older lines when a new one comes', () => {
  const keysOf = (entries: LedgerEntry[]) =>
    foldLedger(entries, SESSIONS, CHAINS, 'voice', null).flatMap(({ lines }) => lines.map(({ key }) => key))
  expect(keysOf([take(10, 2, 'hook 3'), ...ENTRIES])).toEqual(keysOf(ENTRIES))
})
