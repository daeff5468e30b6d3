// The largest chain and the largest manifest that the limits allow, with numbers as long as
// numbers get.

import { CHAIN_FORMAT, type ChainDocument, defaultStages } from '../../app/contract/chain-document.ts'
import type { Manifest } from '../../app/contract/manifest.ts'
import type { StageSetup } from '../../app/contract/render-plan.ts'
import {
  MAX_BANDS,
  MAX_CURVE_POINTS,
  MAX_GROUPS,
  MAX_LAYERS,
  MAX_NAME,
  MAX_STAGES,
} from '../../app/contract/text/limits.ts'

const list = <T>(length: number, make: (k: number) => T): T[] => Array.from({ length }, (_, k) => make(k))
const LONG_NUMBER = -1.2345678901234567e-100
const NAME = 'N'.repeat(MAX_NAME)
const hash = (k: number): string => k.toString(16).padStart(64, '0')

export const largestChain = (): ChainDocument => ({
  format: CHAIN_FORMAT,
  version: 1,
  name: NAME,
  stages: list(MAX_STAGES, () => ({
    ...defaultStages['mic-correction'],
    settings: {
      ...defaultStages['mic-correction'].settings,
      target: {
        name: NAME,
        curve: {
          frequenciesHz: list(MAX_CURVE_POINTS, (k) => 20 + k + 1 / 3),
          levelsDb: list(MAX_CURVE_POINTS, () => LONG_NUMBER),
        },
      },
    },
  })),
})

const band = {
  shape: 'high-shelf',
  frequencyHz: 1234.5678901234567,
  gainDb: LONG_NUMBER,
  q: 1.2345678901234567,
} as const
const correction: StageSetup = {
  kind: 'mic-correction',
  settings: { bands: list(MAX_BANDS + 1, () => band) },
}
const tone: StageSetup = { kind: 'tone', settings: { bands: list(MAX_BANDS, () => band) } }

export const largestManifest = (): Manifest => ({
  format: 'takeloft-bounce',
  version: 1,
  program: { name: 'Takeloft', version: '0.1.0' },
  artist: NAME,
  song: NAME,
  sessionDate: '2026-03-01',
  timeReferenceSamples: 172_800_000,
  plan: {
    sampleRateHz: 48_000,
    panLaw: 'minus-3-db',
    startFrame: -480,
    frames: 96_000,
    sharing: 'own',
    sharedStages: [],
    groups: list(MAX_GROUPS, (k) => ({
      id: k + 1,
      name: NAME,
      gainDb: LONG_NUMBER,
      stages: list(MAX_STAGES, () => tone),
    })),
    layers: list(MAX_LAYERS, (k) => ({
      id: k + 1,
      groupId: (k % MAX_GROUPS) + 1,
      name: NAME,
      role: 'lead',
      take: { sha256: hash(k), sampleRateHz: 48_000, channels: 1, frames: 95_000, encoding: 'pcm-24' },
      offsetSamples: -480,
      gainDb: LONG_NUMBER,
      pan: LONG_NUMBER,
      stages: list(MAX_STAGES, () => correction),
    })),
  },
  span: null,
  takes: list(MAX_LAYERS, (k) => ({ sha256: hash(k), name: NAME, path: `../${'takes/'.repeat(200)}` })),
  chains: list(MAX_GROUPS, (k) => ({
    groupId: k + 1,
    chainVersionId: k + 1,
    name: NAME,
    number: 1,
    sha256: hash(k),
  })),
  stems: [...list(MAX_GROUPS, (k) => stem('group', k)), ...list(MAX_LAYERS, (k) => stem('layer', k))],
  // What a bounce says of a layer: a correction without a curve for each stage, and its rate.
  remarks: list(MAX_LAYERS * 25, () => 'R'.repeat(350)),
})

const stem = (kind: 'group' | 'layer', k: number): Manifest['stems'][number] => ({
  name: `${NAME} ${NAME}`,
  kind,
  sourceId: k + 1,
  file: `${kind}${k}_${'n'.repeat(60)}.wav`,
  channels: 2,
  encoding: 'pcm-24',
  ditherSeed: 4_000_000_000,
  ceilingTrimDb: 0.12,
  sha256: hash(k),
  integratedLufs: LONG_NUMBER,
  loudnessRangeLu: LONG_NUMBER,
  truePeakDbtp: LONG_NUMBER,
  samplePeakDbfs: LONG_NUMBER,
})
