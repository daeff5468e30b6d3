// What holds for every stage, whatever it does: the laws of app/dsp/stage.ts as tests.

import { expect, it } from 'vitest'
import type { Stage, StageLayout } from '../../../app/dsp/stage.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { restoreMemory, saveMemory } from '../reference/checkpoint.ts'

const SAMPLE_RATE_HZ = 48_000
const MIXED_BLOCKS = [1, 7, 64, 1024, 333, 1, 2, 511]

export type Lanes = Float64Array[][]

/** Runs a stage over copies, in blocks that go round through `blocks`. */
export function runStage(stage: Stage, lanes: Lanes, blocks: readonly number[] = [1024]): Lanes {
  const out = lanes.map((channels) => channels.map((samples) => samples.slice()))
  const frames = out[0][0].length
  for (let from = 0, turn = 0; from < frames; turn++) {
    const count = Math.min(blocks[turn % blocks.length], frames - from)
    stage.process(
      out.map((channels) => channels.map((samples) => samples.subarray(from, from + count))),
      count,
    )
    from += count
  }
  return out
}

/** One mono lane through a fresh stage. */
export function runMono(
  create: (layout: StageLayout) => Stage,
  samples: Float64Array,
  sampleRateHz = 48_000,
) {
  const stage = create({ sampleRateHz, laneChannels: [1] })
  return { output: runStage(stage, [[samples]])[0][0], latencySamples: stage.latencySamples }
}

/** Voice, hiss and noise at changing levels, loud enough that every stage acts. */
export function lively(seed: number): Float64Array {
  const { samples } = hissedLine(2, SAMPLE_RATE_HZ, seed, {
    vowelPeak: 0.5,
    hissRms: 0.2,
    pitchHz: 90 + 7 * seed,
  })
  const noise = whiteNoise(samples.length, seed, 0.02)
  // Loud, silent, and hardly there.
  return samples.map((x, n) => {
    const part = Math.floor(n / 9000) % 4
    return part === 2 ? 0 : (x + noise[n]) * (part === 3 ? 1e-3 : 1.5)
  })
}

const sum = (a: Float64Array, b: Float64Array) => a.map((x, n) => x + b[n])

/** @param name settings in words, for the reports */
export function itKeepsTheLawsOfStages(name: string, create: (layout: StageLayout) => Stage): void {
  const [a, b, c, d] = [lively(1), lively(2), lively(3), lively(4)]
  const layout: StageLayout = { sampleRateHz: SAMPLE_RATE_HZ, laneChannels: [2, 1, 2] }
  const lanes: Lanes = [[sum(a, b), sum(a, c)], [a], [b, c]]

  it(`${name}: blocks of 1, 7, 64, 1024 and others give the samples of one size, bit for bit`, () => {
    expect(runStage(create(layout), lanes, MIXED_BLOCKS)).toEqual(runStage(create(layout), lanes))
  })

  it(`${name}: memory put back resets, and a checkpoint goes on with the same samples`, () => {
    const stage = create(layout)
    const fresh = saveMemory(stage)
    const whole = runStage(stage, lanes)
    restoreMemory(stage, fresh)
    expect(runStage(stage, lanes)).toEqual(whole)

    const half = 20_001
    const part = (from: number, to?: number) =>
      lanes.map((channels) => channels.map((x) => x.slice(from, to)))
    restoreMemory(stage, fresh)
    runStage(stage, part(0, half))
    const other = create(layout)
    restoreMemory(other, saveMemory(stage))
    expect(runStage(other, part(half))).toEqual(whole.map((channels) => channels.map((x) => x.slice(half))))
  })

  it.each([
    [
      'stereo',
      [
        [sum(a, b), sum(c, d)],
        [a, c],
        [b, d],
      ] as Lanes,
    ],
    ['mono', [[sum(a, b)], [a], [b]] as Lanes],
  ])(`${name}: ${'%s'} followers add up to the leader within -200 dB`, (_, split) => {
    const stage = create({
      sampleRateHz: SAMPLE_RATE_HZ,
      laneChannels: split.map((channels) => channels.length),
    })
    const [leader, first, second] = runStage(stage, split)
    let worst = 0
    let loudest = 0
    leader.forEach((samples, channel) => {
      samples.forEach((x, n) => {
        worst = Math.max(worst, Math.abs(x - first[channel][n] - second[channel][n]))
        loudest = Math.max(loudest, Math.abs(x))
      })
    })
    expect(loudest).toBeGreaterThan(0.1)
    expect(worst).toBeLessThan(loudest * 1e-10)
  })

  it(`${name}: silence stays silence`, () => {
    const silent = [
      [new Float64Array(5000), new Float64Array(5000)],
      [new Float64Array(5000)],
      [new Float64Array(5000), new Float64Array(5000)],
    ]
    for (const channels of runStage(create(layout), silent)) {
      for (const samples of channels) expect(samples.every((x) => x === 0)).toBe(true)
    }
  })
}
