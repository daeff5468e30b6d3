// Mutants of chains, manifests and curves: each is taken or refused with a Failure of one sentence,
// and what is taken can be worked with.

import { describe, expect, it } from 'vitest'
import { CHAIN_FORMAT, defaultStages, parseChainDocument } from '../../app/contract/chain-document.ts'
import { CurvePoints } from '../../app/contract/curve.ts'
import { type Manifest, parseManifest } from '../../app/contract/manifest.ts'
import { decodeText } from '../../app/contract/text/decode-text.ts'
import { readJsonText } from '../../app/contract/text/read-json.ts'
import { hashOfValue } from '../../app/history/canonical-json.ts'
import { refuseOtherPlan } from '../../app/services/bounces/check-manifest.ts'
import { resolveStages } from '../../app/services/chains/resolve-stages.ts'
import { createCorrectionFitter } from '../../app/services/mics/correction-fitter.ts'
import { readCurveText } from '../../app/services/mics/curve-text.ts'
import { tryMutants } from './mutants.ts'
import { type Draw, mutatedBytes, mutatedValue } from './mutate.ts'

const SHA = 'ab'.repeat(32)
const curve = { frequenciesHz: [20, 1000, 20_000], levelsDb: [1, 0, -1] }
const chain = {
  format: CHAIN_FORMAT,
  version: 1,
  name: 'every',
  stages: Object.values(defaultStages).map((stage) =>
    stage.kind === 'mic-correction'
      ? { ...stage, settings: { ...stage.settings, target: { name: 'flat', curve } } }
      : stage,
  ),
}
const manifest: Manifest = {
  format: 'takeloft-bounce',
  version: 3,
  program: { name: 'Takeloft', version: '0.1.0' },
  artist: 'Invented Artist',
  song: 'Invented Song',
  sessionDate: '2026-03-01',
  timeReferenceSamples: 172_800_000,
  plan: {
    sampleRateHz: 48_000,
    panLaw: 'minus-3-db',
    startFrame: 0,
    frames: 95_000,
    sharing: 'own',
    sharedStages: [],
    groups: [
      { id: 1, name: 'Lead', gainDb: 0, stages: [{ kind: 'opto', settings: defaultStages.opto.settings }] },
    ],
    layers: [1, 2].map((id) => ({
      id,
      groupId: 1,
      name: `lead ${id}`,
      role: 'lead',
      take: { sha256: SHA, sampleRateHz: 48_000, channels: 1, frames: 95_000, encoding: 'pcm-24' },
      offsetSamples: 0,
      gainDb: 0,
      pan: 0,
      stages: [
        {
          kind: 'mic-correction',
          settings: { bands: [{ shape: 'bell', frequencyHz: 100, gainDb: 1, q: 1 }] },
        },
      ],
    })),
  },
  span: { name: 'Hook', startFrame: 10, frames: 90_000 },
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
      originatorReference: 'ab'.repeat(16),
      ceilingTrimDb: 0,
      sha256: SHA,
      integratedLufs: -20,
      loudnessRangeLu: null,
      truePeakDbtp: -3,
      samplePeakDbfs: -3.1,
    },
  ],
  remarks: ['Converted.'],
}

const useChain = (value: unknown): void => {
  const { stages } = parseChainDocument(value, 'chain.json')
  hashOfValue(stages)
  resolveStages(stages, null, 48_000, createCorrectionFitter())
}
const useManifest = (value: unknown): void =>
  refuseOtherPlan(parseManifest(value, 'manifest.json'), 'manifest.json')

/** Half of them changed as values, half as bytes. */
const tryDocument = (document: unknown, use: (value: unknown) => void) => (draw: Draw) => {
  if (draw.below(2) === 0) {
    use(mutatedValue(document, draw))
  } else {
    const bytes = Buffer.from(JSON.stringify(document))
    use(readJsonText(decodeText(mutatedBytes(bytes, [bytes], draw)), 'a.json', 'document', 'another'))
  }
}

const CURVES = [
  '20,0\n1000,1.5\n20000,-3\n',
  '\ufeffFrequenz (kHz);Pegel (dB)\r\n0,02;-3,5\r\n1;0\r\n20;2,25\r\n',
  '# a\n20\t1\t2\n30\t2\t3\n40\t3\t4\n50\t1\t0\n',
  Array.from({ length: 200 }, (_, k) => `${(20 * 1.035 ** k).toFixed(2)} ${Math.sin(k).toFixed(3)}`).join(
    '\r',
  ),
].flatMap((text) => [Buffer.from(text), Buffer.from(text, 'utf16le')])

describe('mutants of documents are taken or refused', () => {
  it('the documents that they are made of are taken', () => {
    useChain(chain)
    useManifest(manifest)
  })

  it.each<[string, unknown, (value: unknown) => void]>([
    ['a chain', chain, useChain],
    ['a manifest', manifest, useManifest],
  ])('of %s', async (_what, document, use) => {
    const outcomes = await tryMutants(tryDocument(document, use))
    expect(outcomes.taken).toBeGreaterThan(0)
    expect(outcomes['invalid-input']).toBeGreaterThan(0)
  })

  it('of a curve', async () => {
    const outcomes = await tryMutants((draw) => {
      const { points } = readCurveText(decodeText(mutatedBytes(draw.of(CURVES), CURVES, draw)), 'curve.csv')
      expect(CurvePoints.safeParse(points).success).toBe(true)
    })
    expect(outcomes.taken).toBeGreaterThan(0)
    expect(outcomes['invalid-input']).toBeGreaterThan(0)
  })

  it('of a curve, and a correction is fitted with what is taken', async () => {
    const fitter = createCorrectionFitter()
    await tryMutants((draw) => {
      const { points } = readCurveText(decodeText(mutatedBytes(draw.of(CURVES), CURVES, draw)), 'curve.csv')
      const { bands, rmsErrorDb } = fitter.fit(points, defaultStages['mic-correction'].settings, 48_000)
      for (const number of [
        rmsErrorDb,
        ...bands.flatMap(({ frequencyHz, gainDb, q }) => [frequencyHz, gainDb, q]),
      ]) {
        expect(number).toSatisfy(Number.isFinite)
      }
    }, 0.05)
  })
})
