// What a layer of many passages costs beside one of a single passage: reading, stages before the sum, fades, and the whole
// chain behind them. In this process, warm, one thread, takes in memory.

import type { PlannedPassage } from '../../../app/contract/passages/passage.ts'
import type { PlannedLayer, StageSetup } from '../../../app/contract/render-plan.ts'
import { createRenderUnit, unitsOf } from '../../../app/engine/rendering/render-unit.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { passageOf, randomComp } from '../../signals/passages.ts'
import { stageOf } from '../../signals/song-of.ts'
import { plannedGroup, plannedLayer, planOf, takeInMemory } from '../../signals/takes.ts'
import { RATE_HZ } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import type { Cell, Section } from '../report.ts'
import { spreadOf } from '../statistics.ts'

const SECONDS = 180
const FRAMES = SECONDS * RATE_HZ
const TAKES = 3
const CHAIN = [
  stageOf('low-cut'),
  stageOf('tone'),
  stageOf('de-ess'),
  stageOf('drive', { amountDb: 6 }),
  stageOf('opto', { thresholdDbfs: -30 }),
  stageOf('ceiling', { ceilingDbtp: -6 }),
].flatMap(({ setup }): StageSetup[] => (setup === null ? [] : [setup]))
const EXPANDER = stageOf('expander').setup as StageSetup
const stagesOf = (gainDb: number): StageSetup[] => [
  EXPANDER,
  {
    kind: 'mic-correction',
    settings: {
      bands: Array.from({ length: 8 }, (_, k) => ({
        ...{ shape: 'bell' as const, frequencyHz: 100 * 2 ** k, gainDb, q: 1 },
      })),
    },
  },
]

const LAYERS: readonly (readonly [string, readonly PlannedPassage[] | null])[] = [
  ['the whole take', null],
  ['1 passage', [passageOf(0, FRAMES - 4800, { fadeOutFrames: 960 })]],
  ['500 passages of one take, each moved', randomComp(500, 1, FRAMES, 1)],
  ['500 passages of three takes, each moved', randomComp(500, TAKES, FRAMES, 2)],
  ['2000 passages of three takes, each moved', randomComp(2000, TAKES, FRAMES, 3)],
]

export async function passageCosts(
  { rounds }: BenchOptions,
  say: (message: string) => void,
): Promise<Section> {
  const takes = Array.from({ length: TAKES }, (_, k) =>
    whiteNoise(FRAMES, k + 1, 0.5).map((x, i) => x * (i % RATE_HZ < RATE_HZ / 2 ? 1 : 0.01)),
  )
  const render = (list: readonly PlannedPassage[] | null, chain: readonly StageSetup[]): number => {
    const layer = plannedLayer(1, 1, FRAMES, {
      stages: stagesOf(2),
      ...(list === null ? {} : { passages: { furtherTakes: further(), list: [...list] } }),
    })
    const plan = planOf(FRAMES, { groups: [plannedGroup(1, { stages: [...chain] })], layers: [layer] })
    const unit = createRenderUnit(plan, unitsOf(plan)[0], openTake(takes), { layerStems: false })
    const start = performance.now()
    unit.begin(0)
    for (let at = 0; at + 1024 <= FRAMES; at += 1024) unit.render(1024)
    return performance.now() - start
  }
  const rows: Record<string, Cell>[] = []
  for (const [where, chain] of [
    ['before the sum', []],
    ['with the whole chain', CHAIN],
  ] as const) {
    const times = LAYERS.map((): number[] => [])
    // In turn, so that a slower moment of the machine is shared by all.
    for (let round = 0; round <= Math.max(3, rounds); round++) {
      say(`${where}, round ${round}`)
      for (const [k, [, list]] of LAYERS.entries()) {
        const milliseconds = render(list, chain)
        if (round > 0) times[k].push(milliseconds)
      }
    }
    for (const [k, [what]] of LAYERS.entries()) {
      const ratio = spreadOf(times[k].map((time, n) => time / times[1][n]))
      rows.push({
        ...{ what: `${what}, ${where}`, ns: (spreadOf(times[k]).median * 1e6) / FRAMES },
        ...{ ratio: ratio.median, least: ratio.least, most: ratio.most },
      })
    }
  }
  return {
    id: 'passages',
    title: `a mono layer of ${SECONDS} s by the number of its passages, ns per frame and against one passage`,
    commands: {},
    notes: [
      'Each take runs through expander and eight bands of mic correction. A take that is used again within half a second runs on in between, so that three takes in turn cost up to three times the stages before the sum.',
    ],
    tables: [
      {
        title: 'ns per frame',
        columns: [
          { key: 'what', head: 'layer' },
          { key: 'ns', head: 'ns', digits: 1 },
          { key: 'ratio', head: 'against 1 passage', digits: 2 },
          { key: 'least', head: 'least', digits: 2 },
          { key: 'most', head: 'most', digits: 2 },
        ],
        rows,
      },
    ],
  }
}

const further = (): { take: PlannedLayer['take']; stages: StageSetup[] }[] =>
  Array.from({ length: TAKES - 1 }, (_, k) => ({
    take: plannedLayer(k + 2, 1, FRAMES).take,
    stages: stagesOf(-2 - k),
  }))

const openTake = (takes: readonly Float64Array[]) => {
  const sources = takes.map((samples) => takeInMemory([samples]))
  // Read by subarray, as a file is; the source for tests copies frame by frame.
  return ({ take }: PlannedLayer) => ({
    ...sources[Number(take.sha256) - 1],
    read(start: number, frames: number, into: readonly Float64Array[]) {
      const samples = takes[Number(take.sha256) - 1]
      into[0].fill(0, 0, frames)
      const from = Math.max(0, start)
      if (from < start + frames && from < samples.length)
        into[0].set(samples.subarray(from, Math.min(start + frames, samples.length)), from - start)
    },
  })
}
