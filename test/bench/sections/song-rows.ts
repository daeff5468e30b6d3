// What the rows along the song cost beside the chain: in the pass that measures the joints, and while it plays, when
// figures are read from the rows and nothing is measured. In this process, warm, one thread.

import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { createChain } from '../../../app/dsp/chain.ts'
import { measureJoints, type StageToMeasure } from '../../../app/engine/measuring/measure-joints.ts'
import { bandLevelsOver } from '../../../renderer/formats/song/band-levels.ts'
import { measurementAt, momentAt, shortTermAt } from '../../../renderer/formats/song/moment.ts'
import { measurementOver, wholeOf } from '../../../renderer/formats/song/range-figures.ts'
import { workingPointAt } from '../../../renderer/places/chain/stages/working-point.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { songOf, stageOf } from '../../signals/song-of.ts'
import { takeInMemory } from '../../signals/takes.ts'
import { RATE_HZ } from '../material.ts'
import type { BenchOptions } from '../options.ts'
import type { Cell, Section } from '../report.ts'
import { spreadOf } from '../statistics.ts'

const SECONDS = 60
const FRAMES = SECONDS * RATE_HZ
const BLOCK = 1024

const CHAIN: readonly StageToMeasure[] = [
  stageOf('trim'),
  stageOf('expander'),
  stageOf('low-cut'),
  stageOf('tone'),
  stageOf('de-ess'),
  stageOf('drive', { amountDb: 6 }),
  stageOf('opto', { thresholdDbfs: -30 }),
  stageOf('ceiling', { ceilingDbtp: -6 }),
]

const TONE_AT = CHAIN.findIndex(({ kind }) => kind === 'tone')
const OPTO_AT = CHAIN.findIndex(({ kind }) => kind === 'opto')

export async function songRows({ rounds }: BenchOptions, say: (message: string) => void): Promise<Section> {
  const samples = whiteNoise(FRAMES, 1, 0.5).map((x, i) => x * (i % RATE_HZ < RATE_HZ / 2 ? 1 : 0.05))
  const setups = CHAIN.flatMap(({ setup }): StageSetup[] => (setup === null ? [] : [setup]))
  const { song, measurement } = songOf([samples], CHAIN)
  const range = { fromStage: 0, toStage: CHAIN.length }
  const measure = (keepsRows: boolean) => () => {
    measureJoints(takeInMemory([samples]), RATE_HZ, CHAIN, range, () => {}, { keepsRows })
  }
  const works: readonly (readonly [string, () => void])[] = [
    [
      'the chain alone',
      () => {
        const chain = createChain(setups, { sampleRateHz: RATE_HZ, laneChannels: [1] })
        const block = [new Float64Array(BLOCK)]
        for (let at = 0; at + BLOCK <= FRAMES; at += BLOCK) {
          block[0].set(samples.subarray(at, at + BLOCK))
          chain.process([block], BLOCK)
        }
      },
    ],
    ['chain and joints', measure(false)],
    ['chain, joints and rows', measure(true)],
    [
      'every moment of the song while it plays',
      () => {
        for (let row = 0; row < song.joints[0].count; row++) {
          const moment = momentAt(song, (row * song.layout.rowFrames) / RATE_HZ)
          if (moment === null) continue
          measurementAt(song, measurement.stages, moment)
          for (const joint of [song.joints[0], song.joints[CHAIN.length]]) shortTermAt(joint, row, song)
          workingPointAt(song, OPTO_AT, 'opto', row)
          for (const joint of [TONE_AT, TONE_AT + 1]) bandLevelsOver(song.joints[joint], [moment])
        }
      },
    ],
    ['figures of the whole song as a range', () => void measurementOver(song, measurement, wholeOf(song))],
  ]
  const times = works.map(([what, pass]) => {
    say(what)
    pass()
    const milliseconds = Array.from({ length: Math.max(3, rounds) }, () => {
      const start = performance.now()
      pass()
      return performance.now() - start
    })
    return { what, ...spreadOf(milliseconds) }
  })
  const chain = times[0].median
  return {
    id: 'song',
    title: `rows along the song of a chain with ${CHAIN.length} stages, ${SECONDS} s of mono at 48 kHz`,
    commands: {},
    notes: ['Aim: what is done while it plays takes at most a tenth of the chain.'],
    tables: [
      {
        title: 'ms, and share of the chain',
        columns: [
          { key: 'what', head: '' },
          { key: 'median', head: 'median ms', digits: 2 },
          { key: 'least', head: 'least', digits: 2 },
          { key: 'most', head: 'most', digits: 2 },
          { key: 'share', head: '% of the chain', digits: 1 },
        ],
        rows: times.map(
          ({ what, median, least, most }): Record<string, Cell> => ({
            what,
            median,
            least,
            most,
            share: (100 * median) / chain,
          }),
        ),
      },
    ],
  }
}
