// A manifest is taken whole or refused in one sentence that says where it is wrong.

import { describe, expect, it } from 'vitest'
import { Failure } from '../../app/contract/failure.ts'
import { type Manifest, parseManifest } from '../../app/contract/manifest.ts'
import { changed } from './changed.ts'

const WHERE = '/bounces/manifest.json'
const SHA = 'ab'.repeat(32)

const manifest: Manifest = {
  format: 'takeloft-bounce',
  version: 1,
  program: { name: 'Takeloft', version: '0.1.0' },
  artist: 'Maren Holt',
  song: 'Seven Stairs',
  sessionDate: '2026-03-01',
  timeReferenceSamples: 172_800_000,
  plan: {
    sampleRateHz: 48_000,
    panLaw: 'minus-3-db',
    startFrame: -480,
    frames: 96_000,
    sharing: 'own',
    sharedStages: [],
    groups: [
      { id: 1, name: 'Lead', gainDb: 0, stages: [{ kind: 'mic-correction', settings: { bands: [] } }] },
    ],
    layers: [
      {
        id: 1,
        groupId: 1,
        name: 'lead',
        role: 'lead',
        take: { sha256: SHA, sampleRateHz: 48_000, channels: 1, frames: 95_000, encoding: 'pcm-24' },
        offsetSamples: 0,
        gainDb: 0,
        pan: 0,
        stages: [{ kind: 'trim', settings: { gainDb: 3, invertPolarity: false } }],
      },
    ],
  },
  span: null,
  takes: [{ sha256: SHA, name: 'lead', path: '../takes/lead.wav' }],
  chains: [{ groupId: 1, chainVersionId: 1, name: 'main', number: 1, sha256: SHA }],
  stems: [
    {
      name: 'Lead',
      kind: 'group',
      sourceId: 1,
      file: 'Lead.wav',
      channels: 2,
      encoding: 'pcm-24',
      ditherSeed: 12,
      ceilingTrimDb: 0.12,
      sha256: SHA,
      integratedLufs: -20,
      loudnessRangeLu: null,
      truePeakDbtp: -3,
      samplePeakDbfs: -3.1,
    },
  ],
  remarks: [],
}

function refusalOf(value: unknown): string {
  try {
    parseManifest(value, WHERE)
  } catch (error) {
    if (error instanceof Failure) return `${error.code}: ${error.message}`
    throw error
  }
  return 'taken'
}

describe('a manifest', () => {
  it('is taken as it was written', () => {
    expect(parseManifest(JSON.parse(JSON.stringify(manifest)), WHERE)).toEqual(manifest)
  })

  it('of a whole song needs no span, as before there were any', () => {
    const { span: _, ...older } = manifest
    expect(parseManifest({ ...older, version: 2 }, WHERE).span).toBeNull()
  })

  it('of a newer version is refused whatever it holds', () => {
    expect(refusalOf({ format: 'takeloft-bounce', version: 5, tracks: [] })).toBe(
      'newer-version: /bounces/manifest.json has manifest version 5, and this Takeloft knows up to 4; update Takeloft to verify it.',
    )
  })

  it.each([
    [null, 'invalid input: expected object, received null'],
    [{ format: 'takeloft-chain', version: 1 }, 'at format: invalid input: expected "takeloft-bounce"'],
    [{ ...manifest, version: 'one' }, 'at version: invalid input: expected number, received string'],
  ])('that is %j is none', (value, what) => {
    expect(refusalOf(value)).toBe(
      `invalid-input: ${WHERE} is not the manifest of a Takeloft bounce: ${what}.`,
    )
  })

  it.each<[string, unknown, string | RegExp]>([
    ['stems.0.sha256', SHA.toUpperCase(), 'at stems[0].sha256: a SHA-256 is 64 hexadecimal digits'],
    ['stems.0.sha256', SHA.slice(1), 'at stems[0].sha256: a SHA-256 is 64 hexadecimal digits'],
    ['stems.0.file', '../../etc/passwd', 'at stems[0].file: a stem is a file beside its manifest'],
    ['stems.0.file', 'a\\b.wav', 'at stems[0].file: a stem is a file beside its manifest'],
    ['stems.0.encoding', 'pcm-16', /at stems\[0\]\.encoding: invalid option/],
    ['stems.0.channels', 3, /at stems\[0\]\.channels: too big/],
    ['plan.layers.0.pan', 2, /at plan\.layers\[0\]\.pan: too big/],
    ['plan.layers.0.take.sha256', undefined, /at plan\.layers\[0\]\.take\.sha256: it is missing/],
    [
      'plan.layers.0.stages.0.settings.gainDb',
      '3',
      /at plan\.layers\[0\]\.stages\[0\]\.settings\.gainDb: invalid input/,
    ],
    ['plan.layers.0.stages.0.kind', 'reverb', /at plan\.layers\[0\]\.stages\[0\]\.kind: invalid/],
    ['plan.startFrame', 1, /at plan\.startFrame: too big/],
    ['sessionDate', '2026-13-01', /at sessionDate: invalid ISO date/],
    ['timeReferenceSamples', -1, /at timeReferenceSamples: too small/],
    ['takes', undefined, /at takes: it is missing/],
    ['span', { name: 'Hook', startFrame: 0, frames: 0 }, /at span\.frames: too small/],
    ['span', { name: 'Hook', startFrame: -90_000, frames: 2 }, 'its span reaches beyond its plan'],
    ['span', { name: 'Hook', startFrame: 1, frames: 9e6 }, 'its span reaches beyond its plan'],
    ['mood', 'good', /unrecognized key: "mood"/],
  ])('with %s = %j says what is wrong there', (path, value, what) => {
    const refusal = refusalOf(changed(manifest, path, value))
    expect(refusal).toMatch(/^invalid-input: \/bounces\/manifest\.json cannot be used as a manifest: /)
    expect(refusal).toMatch(what)
  })
})
