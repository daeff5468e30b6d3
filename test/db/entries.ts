// Invented entries for the catalogue, with names in several scripts.

import { createHash } from 'node:crypto'
import { defaultStages } from '../../app/contract/chain-document.ts'
import type { TakeFacts } from '../../app/contract/take-facts.ts'
import type { Catalogue } from '../../db/catalogue.ts'
import type { NewSession } from '../../db/tables/sessions.ts'
import type { NewTake } from '../../db/tables/takes.ts'

export const sha256Of = (text: string): string => createHash('sha256').update(text).digest('hex')

/** The n-th minute of an invented day. */
export const minute = (n: number): string => new Date(Date.UTC(2026, 10, 25, 9, n)).toISOString()

export const facts: TakeFacts = {
  integratedLufs: -21.4,
  loudnessRangeLu: null,
  maxMomentaryLufs: -14.25,
  maxShortTermLufs: -16.5,
  truePeakDbtp: -2.125,
  samplePeakDbfs: -2.5,
  dcOffset: -0.000_123_456_789,
  findings: [
    {
      kind: 'clipping',
      value: 3,
      unit: 'runs',
      threshold: 1,
      atSeconds: [1.5, 2.25],
      leastRunSamples: 3,
    },
  ],
}

export const newTake = (name: string, changes: Partial<NewTake> = {}): NewTake => ({
  sha256: sha256Of(name),
  name,
  path: `/takes/${name}.wav`,
  container: 'wav',
  encoding: 'pcm-24',
  sampleRateHz: 48_000,
  channels: 1,
  frames: 48_000 * 75,
  timeReferenceSamples: 3600 * 48_000,
  sizeBytes: 10_800_680,
  importedAt: minute(0),
  voiceId: null,
  micId: null,
  curveId: null,
  facts,
  ...changes,
})

export const newSession = (songId: number, changes: Partial<NewSession> = {}): NewSession => ({
  songId,
  date: '2026-11-25',
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

export const stages = [defaultStages['mic-correction'], defaultStages['low-cut'], defaultStages.tone]

/** One artist with everything that hangs on one: a session in which one take is a layer of one group with a chain. */
export function fill(catalogue: Catalogue) {
  const artist = catalogue.artists.insert({ name: 'Zoë Ångström', note: 'приятно 🎙️' }, minute(0))
  const voice = catalogue.voices.insert({ artistId: artist.id, name: '歌声', note: '' }, minute(1))
  const mic = catalogue.mics.insert(
    { name: 'Großmembran №1', serial: '', pattern: 'wide cardioid', note: '' },
    minute(2),
  )
  const curve = catalogue.curves.insert(
    {
      micId: mic.id,
      name: '0° – 1 m',
      source: 'invented',
      pattern: 'wide cardioid',
      distanceM: 1,
      note: '',
      points: { frequenciesHz: [50, 1000, 16_000], levelsDb: [-3.5, 0, 4.25] },
      picture: {
        sha256: sha256Of('picture'),
        fileName: 'Blatt № 7.png',
        frequencyMarks: [
          { x: 40.5, y: 300, value: 20 },
          { x: 940.25, y: 300, value: 20_000 },
        ],
        levelMarks: [
          { x: 40.5, y: 280, value: -20 },
          { x: 40.5, y: 20.75, value: 10 },
        ],
      },
    },
    minute(3),
  )
  const song = catalogue.songs.insert({ artistId: artist.id, title: 'Ночь — 夜' }, minute(4))
  const session = catalogue.sessions.insert(newSession(song.id, { tempoBpm: 92.5, notes: 'a\nb' }), minute(5))
  const take = catalogue.takes.insert(
    newTake('Refrão 01', { voiceId: voice.id, micId: mic.id, curveId: curve.id, importedAt: minute(6) }),
  )
  catalogue.takes.linkToSession(session.id, take.id)
  const chain = catalogue.chains.insert({ voiceId: voice.id, name: 'Sång' }, minute(7))
  const version = catalogue.chains.insertVersion(
    { chainId: chain.id, stages, sha256: sha256Of('stages'), note: 'für später' },
    minute(7),
  )
  const group = catalogue.groups.insert({
    sessionId: session.id,
    name: 'lead',
    chainVersionId: version.id,
    gainDb: -1.5,
  })
  const layer = catalogue.layers.insert({
    sessionId: session.id,
    groupId: group.id,
    takeId: take.id,
    name: 'Führung',
    role: 'lead',
    offsetSamples: -2_000_000_000,
    gainDb: 0.1,
    pan: -0.333,
    muted: true,
  })
  const bounce = catalogue.bounces.insert(
    {
      sessionId: session.id,
      manifestPath: '/stems/Ночь/manifest.json',
      manifestSha256: sha256Of('manifest'),
      stems: 1,
    },
    minute(8),
  )
  return { artist, voice, mic, curve, song, session, take, chain, version, group, layer, bounce }
}
