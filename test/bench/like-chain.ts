// The chain of the comparison, three times: as Takeloft's chain file, as ffmpeg's filters and
// as what sox has of it. High-pass 80 Hz; bells at 250, 1600 and 3150 Hz; high shelf at 10 kHz;
// de-esser; tanh soft clip at 4 times oversampling; compressor 4:1; limiter.
// Amounts are common practice; what each of the three spends does not depend on them.

import { writeFileSync } from 'node:fs'
import {
  CHAIN_FORMAT,
  CHAIN_FORMAT_VERSION,
  type ChainDocument,
  type ChainStage,
  defaultStages,
} from '../../app/contract/chain-document.ts'
import type { StageSetup } from '../../app/contract/render-plan.ts'
import { sumSetups } from '../../app/services/chains/resolve-stages.ts'
import { inRoot } from './places.ts'

const BELLS = [
  { frequencyHz: 250, gainDb: -2, q: 1 },
  { frequencyHz: 1600, gainDb: -2, q: 1 },
  { frequencyHz: 3150, gainDb: -2, q: 2 },
] as const
const SHELF = { frequencyHz: 10_000, gainDb: 2, q: 0.7 } as const

export const LIKE_STAGES: readonly ChainStage[] = [
  defaultStages['low-cut'],
  {
    kind: 'tone',
    on: true,
    settings: {
      bands: [
        ...BELLS.map((bell) => ({ shape: 'bell' as const, ...bell })),
        { shape: 'high-shelf' as const, ...SHELF },
      ],
    },
  },
  defaultStages['de-ess'],
  defaultStages.drive,
  defaultStages.opto,
  defaultStages.ceiling,
]

export const LIKE_SETUPS: readonly StageSetup[] = sumSetups(LIKE_STAGES)

/** Every stage there is, with its first settings. */
export const WHOLE_CHAIN: readonly ChainStage[] = Object.values(defaultStages)

/** alimiter looks at samples, not at true peaks, and `level` would only add a gain. */
export const FFMPEG_FILTERS = [
  'highpass=f=80',
  ...BELLS.map(({ frequencyHz, gainDb, q }) => `equalizer=f=${frequencyHz}:t=q:w=${q}:g=${gainDb}`),
  `highshelf=f=${SHELF.frequencyHz}:t=q:w=${SHELF.q}:g=${SHELF.gainDb}`,
  'deesser=i=0.5:m=0.5:f=0.5',
  'asoftclip=type=tanh:oversample=4',
  'acompressor=threshold=0.063:ratio=4:attack=10:release=200:knee=3.16',
  'alimiter=limit=0.891:attack=2:release=80:level=disabled',
].join(',')

/** No de-esser, no limiter; its overdrive is put between rate changes, which is 4 times oversampling. */
export const SOX_EFFECTS = [
  'highpass 80',
  ...BELLS.map(({ frequencyHz, gainDb, q }) => `equalizer ${frequencyHz} ${q}q ${gainDb}`),
  `treble ${SHELF.gainDb} ${SHELF.frequencyHz}`,
  'rate 192k overdrive 3 20 rate 48k',
  'compand 0.01,0.2 6:-24,-24,0,-18',
].join(' ')

export const ffmpegCommand = (from: string, to: string): string =>
  `ffmpeg -v error -nostdin -y -i ${from} -af "${FFMPEG_FILTERS}" -c:a pcm_s24le ${to}`

export const soxCommand = (from: string, to: string): string => `sox -V1 ${from} -b 24 ${to} ${SOX_EFFECTS}`

export const takeloftCommand = (call: string): string => `node app/hosts/command-line/takeloft.mjs ${call}`

/** @param path from the top of the tree */
export function writeLikeChain(path: string): string {
  const document: ChainDocument = {
    format: CHAIN_FORMAT,
    version: CHAIN_FORMAT_VERSION,
    name: 'Chain of the comparison',
    stages: [...LIKE_STAGES],
  }
  writeFileSync(inRoot(path), `${JSON.stringify(document, null, 2)}\n`)
  return path
}
