// The moment that is heard: the rows it has, and its figures against the sound at each joint.

import { expect, it } from 'vitest'
import { measurementAt, momentAt, momentsOf } from '../../../../renderer/formats/song/moment.ts'
import { whiteNoise } from '../../../signals/noise.ts'
import { songOf, soundAtJoints, stageOf } from '../../../signals/song-of.ts'

const FS = 48_000
const ROW = 1024
const noise = whiteNoise(200 * ROW, 6, 0.5).map(
  (x, i) => x * (Math.floor(i / (20 * ROW)) % 2 === 0 ? 1 : 0.1),
)
const CHAIN = [
  stageOf('expander', { thresholdDbfs: -50 }),
  stageOf('opto', { thresholdDbfs: -30 }),
  stageOf('ceiling', { ceilingDbtp: -12 }),
]
const { song, measurement } = songOf([noise], CHAIN)
const { joints, traces } = soundAtJoints([noise], CHAIN)

it('ends with the row that is heard, has eight rows, and none outside of the take', () => {
  expect(momentAt(song, (100.5 * ROW) / FS)).toEqual({ fromRow: 93, toRow: 101 })
  expect(momentAt(song, 0)).toEqual({ fromRow: 0, toRow: 1 })
  expect(momentAt(song, -0.01)).toBeNull()
  expect(momentAt(song, 1000)).toBeNull()
})

it.each([30, 55, 120, 199])('row %i shows the levels and reductions of that stretch of the sound', (row) => {
  const moment = momentAt(song, (row * ROW + 10) / FS)!
  const at = measurementAt(song, measurement.stages, moment)
  for (const [joint, [sound]] of joints.entries()) {
    let power = 0
    for (let i = moment.fromRow * ROW; i < moment.toRow * ROW; i++) power += sound[i] ** 2
    const levelDbfs = 10 * Math.log10(power / (8 * ROW))
    expect(Math.abs(at.joints[joint].levelDbfs! - levelDbfs)).toBeLessThan(0.01)
  }
  for (const [k, trace] of traces.entries()) {
    const last = trace.slice(row * ROW, (row + 1) * ROW)
    expect(at.stages[k].maxReductionDb).toBeCloseTo(Math.max(...last), 4)
  }
})

it('a loud moment is louder than a soft one, so the river moves', () => {
  const level = (row: number): number =>
    measurementAt(song, measurement.stages, momentAt(song, (row * ROW) / FS)!).joints[0].levelDbfs!
  expect(level(15) - level(35)).toBeCloseTo(20, 0)
})

it('moments across the song cover it', () => {
  const all = [...momentsOf(song)]
  expect(all.length).toBe(25)
  expect(all[24]).toEqual({ fromRow: 192, toRow: 200 })
})
