// What an earlier session's sound changes in the present one: listed field by field, with what it overwrites.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { ChainVersion, Group, Layer, SessionContents } from '../../../app/contract/entities.ts'
import { planRecall, recallSummary } from '../../../renderer/formats/recall/plan-recall.ts'

const session = (changes: Partial<SessionContents['session']> = {}): SessionContents['session'] => ({
  id: 1,
  songId: 1,
  artistId: 1,
  artistName: 'Invented Artist',
  songTitle: 'Invented Song',
  date: '2026-11-27',
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
  ...changes,
})
const group = (id: number, name: string, changes: Partial<Group> = {}): Group => ({
  id,
  sessionId: 1,
  name,
  chainVersionId: null,
  gainDb: 0,
  position: id,
  ...changes,
})
const layer = (id: number, groupId: number, name: string, changes: Partial<Layer> = {}): Layer => ({
  id,
  sessionId: 1,
  groupId,
  takeId: id,
  name,
  role: 'lead',
  offsetSamples: 0,
  gainDb: 0,
  pan: 0,
  muted: false,
  polarityInverted: false,
  position: id,
  ...changes,
})
const version: ChainVersion = {
  id: 7,
  chainId: 3,
  voiceId: 1,
  chainName: 'Rap main',
  number: 2,
  stages: [defaultStages['low-cut']],
  sha256: 'a'.repeat(64),
  note: '',
  createdAt: '2026-11-27T10:00:00.000Z',
  node: 'b'.repeat(64),
  parents: [],
  machineName: 'Desk',
  sharesNumber: false,
}
const contents = (
  groups: Group[],
  layers: Layer[],
  changes: Partial<SessionContents['session']> = {},
): SessionContents => ({
  session: session(changes),
  takes: [],
  groups,
  layers,
  sections: [],
  chainVersions: [version],
})

const then = contents(
  [group(11, 'Lead', { chainVersionId: 7, gainDb: -1.5 }), group(12, 'Doubles', { chainVersionId: 7 })],
  [
    layer(21, 11, 'Verse lead', { gainDb: 1 }),
    layer(22, 12, 'Dub L', { role: 'double', gainDb: -8, pan: -0.6 }),
    layer(23, 12, 'Dub R', { role: 'double', gainDb: -8, pan: 0.6 }),
  ],
)
const words = (now: SessionContents, from = then): string[] =>
  planRecall(now, from).steps.map(
    (one) => `${one.what}: ${one.from} > ${one.to}${one.overwrites ? ' !' : ''}`,
  )
const plain = (list: string[]): string[] =>
  list.map((text) => text.replaceAll('\u202f', ' ').replaceAll('\u2212', '-'))

describe('the plan to sound like an earlier session', () => {
  it('pairs layers by name, then by role in order, and leaves a layer without a counterpart', () => {
    const now = contents(
      [group(1, 'lead'), group(2, 'Doubles')],
      [
        layer(1, 1, 'take 4'),
        layer(2, 1, 'dub r', { role: 'lead' }),
        layer(3, 2, 'take 9', { role: 'double' }),
        layer(4, 2, 'shout', { role: 'ad-lib' }),
      ],
    )
    expect(plain(words(now))).toEqual([
      'Chain of lead: no chain > Rap main, version 2',
      'Gain of lead: 0.0 dB > -1.5 dB',
      'Chain of Doubles: no chain > Rap main, version 2',
      'Gain of take 4: 0.0 dB > +1.0 dB',
      'Role of dub r: lead > double',
      'Group of dub r: lead > Doubles',
      'Gain of dub r: 0.0 dB > -8.0 dB',
      'Pan of dub r: C > R 60',
      'Gain of take 9: 0.0 dB > -8.0 dB',
      'Pan of take 9: C > L 60',
    ])
    expect(planRecall(now, then).unmatched.map(({ name }) => name)).toEqual(['shout'])
    expect(recallSummary(planRecall(now, then).steps)).toBe('Rap main, version 2, roles, gains, pans')
  })

  it('says what the user has set and it would overwrite', () => {
    const now = contents(
      [group(1, 'Lead', { chainVersionId: 9, gainDb: 2 })],
      [layer(1, 1, 'Verse lead', { gainDb: -3 })],
    )
    expect(plain(words(now))).toEqual([
      'Chain of Lead: no chain > Rap main, version 2 !',
      'Gain of Lead: +2.0 dB > -1.5 dB !',
      'Group Doubles: not there > new, Rap main, version 2, 0.0 dB',
      'Gain of Verse lead: -3.0 dB > +1.0 dB !',
    ])
  })

  it('takes over a shared chain, and changes nothing that is the same already', () => {
    const shared = contents([group(11, 'Lead')], [], { chainSharing: 'shared', sharedChainVersionId: 7 })
    expect(words(contents([group(1, 'Lead')], []), shared)).toEqual([
      'Chain sharing: one chain per group > one shared chain',
      'Shared chain: no chain > Rap main, version 2',
    ])
    expect(planRecall(then, then).steps).toEqual([])
  })
})
