// A part of a take through a chain: the figures of the sound there, from the states that stages have there, and no more
// of the take read than that needs.

import { expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { BLOCK_FRAMES } from '../../../app/dsp/stage.ts'
import {
  joinParts,
  measureJoints,
  type StageRange,
  type StageToMeasure,
  type TakePart,
} from '../../../app/engine/measuring/measure-joints.ts'
import { createPassedSound } from '../../../app/engine/measuring/passed-sound.ts'
import type { TakeSource } from '../../../app/engine/mixes/take-source.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { takeInMemory } from '../../signals/takes.ts'

const RATE = 48_000
const blocks = (seconds: number): number => Math.floor((seconds * RATE) / BLOCK_FRAMES) * BLOCK_FRAMES

const stage = (kind: keyof typeof defaultStages, changes: object = {}): StageToMeasure => ({
  kind,
  on: true,
  remark: null,
  setup: { kind, settings: { ...defaultStages[kind].settings, ...changes } } as StageSetup,
})

/** 1 kHz at -20 dBFS (peak) for ten seconds, then at -6 dBFS for ten. */
const steps = Float64Array.from(
  { length: 20 * RATE },
  (_, i) => 10 ** ((i < 10 * RATE ? -20 : -6) / 20) * Math.sin((2 * Math.PI * 1000 * i) / RATE),
)

function measurePart(
  source: TakeSource,
  stages: readonly StageToMeasure[],
  part: TakePart | null,
  ranges: readonly StageRange[] = [{ fromStage: 0, toStage: stages.length }],
) {
  const options = { part }
  const frames = part === null ? source.frames : part.preRollFrames + part.frames
  const passed = ranges.length === 1 ? null : createPassedSound(source.channels, frames, RATE)
  const parts = ranges.map((range) => measureJoints(source, RATE, stages, range, () => {}, options, passed))
  return joinParts(parts, options).measurement
}

const partOf = (fromSeconds: number, seconds: number, preRollSeconds: number): TakePart => ({
  fromFrame: blocks(fromSeconds),
  frames: seconds * RATE,
  preRollFrames: blocks(preRollSeconds),
})

it('has the level of the sine there, 3.01 dB under its peak (AES17), not that of the sine before it', () => {
  const stages = [stage('low-cut', { frequencyHz: 20 }), stage('ceiling', { ceilingDbtp: -1 })]
  for (const [fromSeconds, peakDbfs] of [
    [2, -20],
    [12, -6],
  ] as const) {
    const { joints, seconds } = measurePart(takeInMemory([steps]), stages, partOf(fromSeconds, 4, 1.5))
    expect(seconds).toBeCloseTo(4, 6)
    for (const { levelDbfs, samplePeakDbfs } of joints) {
      expect(levelDbfs).toBeCloseTo(peakDbfs - 3.01, 1)
      expect(samplePeakDbfs).toBeCloseTo(peakDbfs, 1)
    }
  }
})

it('begins from the states that the stages have there: behind its attack the opto reads what it reads in the whole', () => {
  const stages = [stage('opto', { thresholdDbfs: -30 })]
  const source = takeInMemory([steps.map((_, i) => 0.5 * Math.sin((2 * Math.PI * 1000 * i) / RATE))])
  const whole = measurePart(source, stages, null).stages[0]
  const part = measurePart(source, stages, partOf(10, 4, 5))
  expect(part.stages[0].medianReductionDb).toBeCloseTo(whole.medianReductionDb!, 2)
  // Without the states, the sound before the attack would be louder by the whole reduction.
  expect(part.joints[1].crestDb).toBeCloseTo(3.01, 1)
})

it('has the same figures from two threads as from one', () => {
  const noise = takeInMemory([whiteNoise(8 * RATE, 1, 0.6), whiteNoise(8 * RATE, 2, 0.4)])
  const stages = [stage('low-cut'), stage('drive'), stage('opto', { thresholdDbfs: -30 }), stage('ceiling')]
  const part = partOf(4, 2, 1)
  expect(
    measurePart(noise, stages, part, [
      { fromStage: 0, toStage: 2 },
      { fromStage: 2, toStage: 4 },
    ]),
  ).toEqual(measurePart(noise, stages, part))
})

it('reads the part, its pre-roll and what the chain is late, and nothing else of the take', () => {
  const seconds = 120
  const read = { frames: 0, from: Number.POSITIVE_INFINITY, to: 0 }
  const source: TakeSource = {
    channels: 1,
    frames: seconds * RATE,
    read(startFrame, frames, into) {
      read.frames += frames
      read.from = Math.min(read.from, startFrame)
      read.to = Math.max(read.to, startFrame + frames)
      into[0].fill(0.1, 0, frames)
    },
    close() {},
  }
  const part = partOf(60, 15, 5)
  measurePart(source, [stage('expander'), stage('drive'), stage('opto'), stage('ceiling')], part)
  expect(read.from).toBe(part.fromFrame - part.preRollFrames)
  expect(read.to).toBeLessThan(part.fromFrame + part.frames + RATE / 2)
  expect(read.frames).toBe(read.to - read.from)
})
