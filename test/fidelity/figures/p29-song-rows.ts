// P28 and P29: rows along the song against brute force, ranges against the cut-out sound, lanes against what the stages
// do, and the moment that is shown against the one that is heard.

import type { StageToMeasure } from '../../../app/engine/measuring/measure-joints.ts'
import { momentAt } from '../../../renderer/formats/song/moment.ts'
import { measurementOver } from '../../../renderer/formats/song/range-figures.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { songOf, soundAtJoints, stageOf } from '../../signals/song-of.ts'
import { LIMITS } from '../limits.ts'
import { db, type Figure, type Reading, rowOf } from '../rows.ts'

const FS = 48_000
const ROW = 1024
const ROWS = 400
const CHAIN: readonly StageToMeasure[] = [
  stageOf('expander', { thresholdDbfs: -30, ratio: 4, holdMs: 0, releaseMs: 40 }),
  stageOf('low-cut'),
  stageOf('de-ess', { thresholdDb: -12 }),
  stageOf('drive', { amountDb: 9 }),
  stageOf('opto', { thresholdDbfs: -30 }),
  stageOf('ceiling', { ceilingDbtp: -12 }),
]
/** Steps of level that every stage answers to. */
const take = [
  whiteNoise(ROWS * ROW, 3, 0.7).map((x, i) => x * [1, 0.02, 0.3, 0][Math.floor(i / (25 * ROW)) % 4]),
]

const powerOf = (samples: Float64Array, from: number, to: number): number => {
  let sum = 0
  for (let i = from; i < to; i++) sum += samples[i] * samples[i]
  return sum / (to - from)
}

export function measureSongRows(): Figure {
  const { song, measurement } = songOf(take, CHAIN)
  const { joints, traces } = soundAtJoints(take, CHAIN)

  const levels: Reading[] = []
  const reductions: Reading[] = []
  for (const [joint, [sound]] of joints.entries()) {
    const { powers, leastDb, mostDb } = song.joints[joint].rows
    for (let row = 0; row < ROWS; row++) {
      const [from, to] = [row * ROW, (row + 1) * ROW]
      const power = powerOf(sound, from, to)
      const where = `joint ${joint}, row ${row}`
      if (power > 1e-12) levels.push({ where, value: 10 * Math.log10(powers[row] / power) })
      const stage = joint === 0 ? null : CHAIN[joint - 1].kind
      if (stage === null || stage === 'low-cut' || stage === 'drive') continue
      const trace = traces[joint - 1].subarray(from, to)
      reductions.push({ where: `${where}, least`, value: leastDb[row] - Math.min(...trace) })
      reductions.push({ where: `${where}, most`, value: mostDb[row] - Math.max(...trace) })
    }
  }

  const ranges = [
    [2, 23],
    [52, 73],
    [155, 158],
    [302, 320],
  ].flatMap(([fromRow, toRow]) => {
    const over = measurementOver(song, measurement, { fromRow, toRow })
    return joints.map(([sound], joint): Reading => {
      const cut = 10 * Math.log10(powerOf(sound, fromRow * ROW, toRow * ROW))
      return {
        where: `joint ${joint}, rows ${fromRow} to ${toRow}`,
        value: (over.joints[joint].levelDbfs ?? Number.NaN) - cut,
      }
    })
  })

  const nulls = (['expander', 'opto', 'ceiling'] as const).map((kind): Reading => {
    const stage = CHAIN.find((one) => one.kind === kind)!
    const alone = soundAtJoints(take, [stage])
    const [[output], [trace]] = [alone.joints[1], alone.traces]
    let difference = 0
    for (const [i, y] of output.entries()) difference += (take[0][i] * 10 ** (-trace[i] / 20) - y) ** 2
    return {
      where: kind,
      value: db(Math.sqrt(difference / (powerOf(output, 0, output.length) * output.length))),
    }
  })

  // A row is shown from the first frame of the screen on which it is heard; screens have 60 of them a second.
  const shown = Array.from({ length: 500 }, (_, k): Reading => {
    const clickFrame = 7919 * k + 13
    const second = clickFrame / FS
    const row = Math.floor(clickFrame / ROW)
    let frame = Math.floor((row * ROW * 60) / FS)
    while ((momentAt(song, frame / 60)?.toRow ?? 0) <= row && frame < (ROWS * ROW * 60) / FS) frame++
    return { where: `a click at ${second.toFixed(3)} s`, value: 1000 * (frame / 60 - second) }
  }).filter(({ value }, k) => 7919 * k + 13 < (ROWS - 2) * ROW && Number.isFinite(value))

  return {
    id: 'P29',
    title: 'Along the song',
    plots: [],
    rows: [
      rowOf('P29', 'power of each row at each joint, against the sound there', LIMITS.rowsDb, levels),
      rowOf(
        'P29',
        'least and greatest reduction of each row, against every sample',
        LIMITS.rowsDb,
        reductions,
      ),
      rowOf('P29', 'level of a range, against the cut-out sound', LIMITS.rangeDb, ranges),
      rowOf('P29', 'lane applied to the input, null against the output', LIMITS.laneNullDb, nulls),
      rowOf(
        'P28',
        'moment shown for a click that is heard, computed for 60 pictures a second',
        LIMITS.shownEarlyOrLateMs,
        shown,
      ),
    ],
  }
}
