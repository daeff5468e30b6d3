// A range of the song has the figures that its cut-out sound has, at every joint, within 0.01 dB.

import { spawnSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import { createKWeightedEnergy } from '../../../../app/dsp/meters/k-weighting.ts'
import { createStrandMeter } from '../../../../app/dsp/meters/strands.ts'
import {
  activeRuns,
  measurementOver,
  rowsOfSeconds,
  secondsOfRows,
  wholeOf,
} from '../../../../renderer/formats/song/range-figures.ts'
import { hasTool } from '../../../require-tool.ts'
import { whiteNoise } from '../../../signals/noise.ts'
import { songOf, soundAtJoints, stageOf } from '../../../signals/song-of.ts'

const FS = 48_000
const ROW = 1024
const CHAIN = [
  stageOf('expander', { thresholdDbfs: -40 }),
  stageOf('low-cut'),
  stageOf('drive', { amountDb: 9 }),
  stageOf('opto', { thresholdDbfs: -30 }),
  stageOf('ceiling', { ceilingDbtp: -12 }),
]
/** Verse, silence, hook 9 dB louder, a soft end. */
const song = (): Float64Array =>
  whiteNoise(300 * ROW, 3, 0.5).map(
    (x, i) => x * (i < 100 * ROW ? 0.2 : i < 130 * ROW ? 0 : i < 240 * ROW ? 0.6 : 0.02),
  )
const take = [song(), song().map((x, i) => (i % 2 === 0 ? x : -x) * 0.7)]
const measured = songOf(take, CHAIN)
const { joints } = soundAtJoints(take, CHAIN)
const dB = (power: number): number => 10 * Math.log10(power)

describe.each([
  ['the verse', 10, 90],
  ['the hook', 140, 230],
  ['three rows', 150, 153],
])('%s', (_, fromRow, toRow) => {
  const over = measurementOver(measured.song, measured.measurement, { fromRow, toRow })

  it.each(joints.map((__, joint) => joint))('joint %i reads as its cut-out sound', (joint) => {
    const cut = joints[joint].map((channel) => channel.slice(fromRow * ROW, toRow * ROW))
    const frames = cut[0].length
    const power = cut.reduce((sum, one) => sum + one.reduce((all, x) => all + x * x, 0), 0) / (2 * frames)
    const peak = Math.max(...cut.map((one) => one.reduce((most, x) => Math.max(most, Math.abs(x)), 0)))
    const figures = over.joints[joint]
    expect(Math.abs(figures.levelDbfs! - dB(power))).toBeLessThan(0.01)
    expect(Math.abs(figures.samplePeakDbfs! - 20 * Math.log10(peak))).toBeLessThan(0.01)
    expect(figures.crestDb).toBeCloseTo(figures.samplePeakDbfs! - figures.levelDbfs!, 9)
    const k = createKWeightedEnergy(FS, [1, 1]).add(cut, 0, frames) / frames
    expect(Math.abs(figures.loudnessLufs! - (dB(k) - 0.691))).toBeLessThan(0.01)
    // The meter of strands is compared with fft.js elsewhere; here every spectrum of the cut counts.
    const meter = createStrandMeter({ sampleRateHz: FS, channels: 2 })
    for (let at = 0; at < frames; at += ROW)
      meter.add(
        cut.map((one) => one.slice(at, at + ROW)),
        ROW,
      )
    const strands = meter.levelsDbfs(new Uint8Array(1000).fill(1))
    for (const [s, level] of strands.entries())
      expect(Math.abs(figures.strandsDbfs[s]! - level!)).toBeLessThan(0.01)
  })
})

it.skipIf(!hasTool('ffmpeg'))(
  'loudness is that which ffmpeg finds in the cut-out sound, within 0.1 LU',
  () => {
    const { joints: over } = measurementOver(measured.song, measured.measurement, {
      fromRow: 140,
      toRow: 230,
    })
    const cut = joints[4].map((channel) => channel.slice(140 * ROW, 230 * ROW))
    const samples = new Float64Array(2 * cut[0].length)
    for (const [c, one] of cut.entries()) for (const [i, x] of one.entries()) samples[2 * i + c] = x
    const { stderr } = spawnSync(
      'ffmpeg',
      '-hide_banner -f f64le -ar 48000 -ac 2 -i - -af ebur128 -f null -'.split(' '),
      { input: new Uint8Array(samples.buffer) },
    )
    const report = stderr.toString()
    const integrated = /I:\s+(-?[\d.]+) LUFS/.exec(report.slice(report.lastIndexOf('Integrated')))
    expect(Math.abs(Number(integrated?.[1]) - over[4].loudnessLufs!)).toBeLessThan(0.1)
  },
)

it('the gates are those of the range: a soft end counts by itself, and not beside the hook', () => {
  const [input] = measured.song.joints
  expect(activeRuns(input, { fromRow: 245, toRow: 295 })).toEqual([{ fromRow: 245, toRow: 295 }])
  const runs = activeRuns(input, wholeOf(measured.song))
  expect(runs.every(({ toRow }) => toRow <= 242)).toBe(true)
  // About 100 ms around each row are looked at, so up to two rows of the silence count on either side.
  expect(runs.length).toBe(2)
  expect(runs[0].fromRow).toBe(0)
  expect(Math.abs(runs[0].toRow - 100)).toBeLessThanOrEqual(2)
  expect(Math.abs(runs[1].fromRow - 130)).toBeLessThanOrEqual(2)
  expect(Math.abs(runs[1].toRow - 240)).toBeLessThanOrEqual(2)
})

it('the whole song has the figures of the measurement, within what other blocks make', () => {
  const over = measurementOver(measured.song, measured.measurement, wholeOf(measured.song))
  for (const [joint, figures] of measured.measurement.joints.entries()) {
    expect(Math.abs(over.joints[joint].levelDbfs! - figures.levelDbfs!)).toBeLessThan(0.15)
    expect(Math.abs(over.joints[joint].loudnessLufs! - figures.loudnessLufs!)).toBeLessThan(0.15)
    expect(over.joints[joint].samplePeakDbfs).toBeCloseTo(figures.samplePeakDbfs!, 4)
  }
  for (const [k, stage] of measured.measurement.stages.entries()) {
    expect(over.stages[k].maxReductionDb ?? 0).toBeCloseTo(stage.maxReductionDb ?? 0, 4)
    expect(Math.abs((over.stages[k].medianReductionDb ?? 0) - (stage.medianReductionDb ?? 0))).toBeLessThan(
      0.3,
    )
  }
})

describe('ranges that are hard to measure', () => {
  const { layout } = measured.song

  it('10 ms become the one row that holds them, without strands, which need two', () => {
    const range = rowsOfSeconds(layout, 1, 1.01)
    expect(range).toEqual({ fromRow: 47, toRow: 48 })
    const { joints: over } = measurementOver(measured.song, measured.measurement, range!)
    expect(over[0].levelDbfs).not.toBeNull()
    expect(over[0].strandsDbfs).toEqual([null, null, null, null, null, null])
  })

  it('silence has no figures, and stages did nothing that counts in it', () => {
    const over = measurementOver(measured.song, measured.measurement, { fromRow: 105, toRow: 125 })
    expect(over.joints[0]).toMatchObject({ levelDbfs: null, loudnessLufs: null, samplePeakDbfs: null })
    expect(over.stages[0].medianReductionDb).toBeNull()
  })

  it('nothing is outside of the take, and what reaches over its ends is cut there', () => {
    expect(rowsOfSeconds(layout, -5, -1)).toBeNull()
    expect(rowsOfSeconds(layout, 1000, 1001)).toBeNull()
    expect(rowsOfSeconds(layout, -5, 1000)).toEqual({ fromRow: 0, toRow: 300 })
    expect(secondsOfRows(layout, { fromRow: 0, toRow: 300 })).toEqual({
      fromSeconds: 0,
      toSeconds: (300 * ROW) / FS,
    })
  })

  it('a chain without stages has its input', () => {
    const bare = songOf(take, [])
    const over = measurementOver(bare.song, bare.measurement, { fromRow: 10, toRow: 20 })
    expect(over.joints.length).toBe(1)
    expect(over.stages).toEqual([])
  })
})
