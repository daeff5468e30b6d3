// F12: stems of groups behind one shared chain add up to the processed stack. The stack is
// bounced too, as one group that holds every layer and has the same chain of its own. The de-esser listens
// to each group by itself, so its stack is the sum of the groups on chains of their own.

import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { type Bounced, type BounceShop, type PlacedSound, withBounceShop } from '../bounce-shop.ts'
import { LIMITS } from '../limits.ts'
import { evenAxis, type Plot } from '../plot.ts'
import { db, type Figure, greatestOf, limitOf, nullDb, type Reading, type Row, rowOf } from '../rows.ts'
import { haveSpeech, speech } from '../speech.ts'

const FS = 48_000

/** Every level-dependent stage works: hot into the drive and the opto, and into the ceiling after it. */
const SHARED: ChainStages = [
  defaultStages['low-cut'],
  defaultStages.tone,
  {
    kind: 'de-ess',
    on: true,
    settings: { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: -3, rangeDb: 8 },
  },
  {
    kind: 'drive',
    on: true,
    settings: { amountDb: 12, referenceDbfs: -12, evenPercent: 40, mixPercent: 80, outputDb: 3 },
  },
  {
    kind: 'opto',
    on: true,
    settings: { ...defaultStages.opto.settings, thresholdDbfs: -24, makeUpDb: 12 },
  },
  { kind: 'ceiling', on: true, settings: { ceilingDbtp: -1, lookAheadMs: 2, releaseMs: 80 } },
]

function layers(): PlacedSound[] {
  const voice = (seed: number, pitchHz: number) =>
    hissedLine(14, FS, seed, { vowelPeak: 0.7, hissRms: 0.15, pitchHz }).samples
  const lead = haveSpeech ? speech().subarray(0, 6 * FS) : voice(1, 110)
  return [
    { name: 'Lead', channels: [lead], group: 'Lead' },
    {
      name: 'Double left',
      channels: [voice(2, 115)],
      group: 'Doubles',
      pan: -0.7,
      gainDb: -6,
      offsetSamples: 900,
    },
    {
      name: 'Double right',
      channels: [voice(3, 119)],
      group: 'Doubles',
      pan: 0.7,
      gainDb: -6,
      offsetSamples: 1400,
    },
    { name: 'Ad-lib', channels: [voice(4, 230)], group: 'Ad-libs', pan: 0.3, offsetSamples: 24_000 },
  ]
}

/** Left and right of the stems' sum. */
function sumOf({ stems }: Bounced): Float64Array[] {
  return [0, 1].map((side) =>
    stems[0].channels[side].map((_, n) =>
      stems.reduce((total, { channels }) => total + channels[side][n], 0),
    ),
  )
}

function spectrumOfNull(sum: Float64Array, stack: Float64Array) {
  const xs: number[] = []
  const loud: number[] = []
  const left: number[] = []
  for (let at = 0; at + 2400 <= sum.length; at += 2400) {
    xs.push(at / FS)
    loud.push(db(greatestOf(stack.subarray(at, at + 2400)) + 1e-12))
    left.push(nullDb(sum.subarray(at, at + 2400), stack.subarray(at, at + 2400)))
  }
  return { xs, loud, left: left.map((level) => Math.max(level, -240)) }
}

async function figureOf(shop: BounceShop): Promise<Figure> {
  const sounds = layers()
  const oneGroup = sounds.map((sound) => ({ ...sound, group: 'Stack' }))
  const readings: Reading[] = []
  const wordReadings: Reading[] = []
  let plotted: { sum: Float64Array; stack: Float64Array; stems: Bounced } | undefined
  const chains: [string, ChainStages][] = [
    ['all stages but the de-ess', SHARED.filter(({ kind }) => kind !== 'de-ess')],
    ...SHARED.filter(({ kind }) => ['drive', 'opto', 'ceiling'].includes(kind)).map(
      (stage): [string, ChainStages] => [`${stage.kind} alone`, [stage]],
    ),
  ]
  for (const [name, stages] of chains) {
    const shared = await shop.bounce({ sounds, stages, sharing: 'shared' })
    const whole = await shop.bounce({ sounds: oneGroup, stages })
    const sum = sumOf(shared)
    sum.forEach((samples, side) => {
      readings.push({
        where: `${name}, ${side === 0 ? 'left' : 'right'}`,
        value: nullDb(samples, whole.stems[0].channels[side]),
      })
    })
    if (name !== 'all stages but the de-ess') continue
    plotted = { sum: sum[0], stack: whole.stems[0].channels[0], stems: shared }
    const words = await shop.bounce({ sounds, stages, sharing: 'shared', encoding: 'pcm-24' })
    sumOf(words).forEach((samples, side) => {
      wordReadings.push({
        where: side === 0 ? 'left' : 'right',
        value: nullDb(samples, whole.stems[0].channels[side]),
      })
    })
  }
  const toDeEss = SHARED.slice(0, 3)
  const deEssed = await shop.bounce({ sounds, stages: toDeEss, sharing: 'shared' })
  const own = await shop.bounce({ sounds, stages: toDeEss })
  sumOf(own).forEach((samples, side) => {
    readings.push({
      where: `to the de-ess, ${side === 0 ? 'left' : 'right'}`,
      value: nullDb(sumOf(deEssed)[side], samples),
    })
  })
  const doubles = ({ stems }: Bounced) => stems.find(({ name }) => name === 'Doubles')?.channels[0] ?? []
  return {
    id: 'F12',
    title: 'Stems that add up',
    rows: [
      rowOf(
        'F12',
        'three groups, shared chain, float stems: their sum less the bounced stack',
        LIMITS.stemsNullDb,
        readings,
      ),
      rowOf(
        'F12',
        'the same in 24 bits, dithered, all stages but the de-ess',
        LIMITS.stemsNullDb,
        wordReadings,
      ),
      rowOf(
        'F12',
        'doubles de-essed in a shared chain less the same on a chain of their own',
        LIMITS.stemsNullDb,
        [
          {
            where: 'left',
            value: nullDb(Float64Array.from(doubles(deEssed)), Float64Array.from(doubles(own))),
          },
        ],
      ),
      await rowOfOneLevel(shop),
      await rowOfCancelledStems(shop),
    ],
    plots: plotted === undefined ? [] : [nullPlot(plotted.sum, plotted.stack, plotted.stems)],
  }
}

/** One centred mono take: its layer's stem against what `process` makes of it, stage by stage and whole. */
async function rowOfOneLevel(shop: BounceShop): Promise<Row> {
  const readings: Reading[] = []
  const [{ channels, name }] = layers()
  const chains: [string, ChainStages][] = [
    ['whole', SHARED],
    ...SHARED.map((stage): [string, ChainStages] => [stage.kind, [stage]]),
  ]
  for (const [what, stages] of chains) {
    for (const sharing of ['own', 'shared'] as const) {
      const bounced = await shop.bounce({ sounds: [{ name, channels }], stages, sharing, layerStems: true })
      const stem = bounced.stems.find((one) => one.stem.kind === 'layer')
      const processed = await shop.process(bounced.takePaths[0], stages)
      readings.push({
        where: `${what}, ${sharing} chain`,
        value: nullDb(stem?.channels[0] ?? new Float64Array(0), processed[0]),
      })
    }
  }
  return rowOf(
    'F12',
    'a mono take: its layer’s stem less the take through process',
    limitOf({ high: -90 }, 'dB', 0, 'section 3 of the product: a threshold means the same everywhere'),
    readings,
  )
}

/** Two loud groups that cancel each other: the stack is quiet, each stem is far over full scale. */
async function rowOfCancelledStems(shop: BounceShop): Promise<Row> {
  const voice = hissedLine(4, FS, 5, { vowelPeak: 0.9 }).samples
  const { stems, manifest } = await shop.bounce({
    sounds: [
      { name: 'Lead', channels: [voice], gainDb: 12, pan: -1 },
      { name: 'Doubles', channels: [voice.map((x) => -0.9 * x)], gainDb: 12, pan: -1 },
    ],
    stages: SHARED.filter(({ kind }) => kind === 'drive' || kind === 'ceiling'),
    sharing: 'shared',
    encoding: 'pcm-24',
  })
  // Held at full scale in words, or written as float without a word of it.
  const wrong = stems.filter(({ stem, channels }) => {
    const isOver = (stem.samplePeakDbfs ?? 0) >= 0
    const isFloat = stem.encoding === 'float-32' && greatestOf(channels[0]) > 1
    const isSaid = manifest.remarks.some(
      (remark) => remark.startsWith(stem.file) && remark.includes('32-bit float'),
    )
    return isOver ? !(isFloat && isSaid) : isFloat
  })
  const over = stems.filter(({ stem }) => stem.encoding === 'float-32').length
  return rowOf(
    'F12',
    'stems over full scale because their partners cancel them: not float, or not said',
    limitOf({ high: 0 }, 'stems', 0, 'figure F12 of the product'),
    over === 0
      ? []
      : [{ where: `${over} of ${stems.length} stems are over full scale`, value: wrong.length }],
  )
}

function nullPlot(sum: Float64Array, stack: Float64Array, { stems }: Bounced): Plot {
  const { xs, loud, left } = spectrumOfNull(sum, stack)
  const levels = (samples: Float64Array) =>
    xs.map((second) => db(greatestOf(samples.subarray(second * FS, second * FS + 2400)) + 1e-12))
  const colours = ['green', 'sand', 'slate'] as const
  return {
    title: 'Null of the stems',
    caption:
      'Greatest sample in spans of 50 ms, left: the processed stack, its three stems, and what their sum differs from it.',
    x: evenAxis('time, s', 0, Math.floor(sum.length / FS), 1),
    y: evenAxis('level, dBFS', -240, 0, 40),
    curves: [
      ...stems.map(({ name, channels }, i) => ({
        name,
        xs,
        ys: levels(channels[0]),
        kind: 'line' as const,
        colour: colours[i % 3],
      })),
      { name: 'stack', xs, ys: loud, kind: 'line', colour: 'ink' },
      { name: 'difference', xs, ys: left, kind: 'line', colour: 'accent' },
      { name: 'limit', xs: [0, sum.length / FS], ys: [-90, -90], kind: 'dashed', colour: 'failure' },
    ],
  }
}

export function measureStems(): Promise<Figure> {
  return withBounceShop(figureOf)
}
