import { describe, expect, it } from 'vitest'
import { createChain } from '../../app/dsp/chain.ts'
import type { Channels } from '../../app/dsp/stage.ts'
import type { StageSetup } from '../../app/dsp/stages/settings.ts'
import { impulse } from '../signals/impulses.ts'
import { restoreMemory, saveMemory } from './reference/checkpoint.ts'
import { itKeepsTheLawsOfStages, runStage } from './stages/stage-laws.ts'

const SETUPS: StageSetup[] = [
  { kind: 'trim', settings: { gainDb: 3, invertPolarity: true } },
  {
    kind: 'expander',
    settings: { thresholdDbfs: -50, ratio: 2, rangeDb: 12, attackMs: 2, holdMs: 50, releaseMs: 120 },
  },
  { kind: 'mic-correction', settings: { bands: [{ shape: 'bell', frequencyHz: 3000, gainDb: -3, q: 1 }] } },
  { kind: 'low-cut', settings: { frequencyHz: 80, slopeDbPerOctave: 24 } },
  {
    kind: 'tone',
    settings: { bands: [{ shape: 'high-shelf', frequencyHz: 10_000, gainDb: 3, q: Math.SQRT1_2 }] },
  },
  { kind: 'de-ess', settings: { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: 0, rangeDb: 6 } },
  {
    kind: 'drive',
    settings: { amountDb: 6, referenceDbfs: -12, evenPercent: 20, mixPercent: 100, outputDb: 0 },
  },
  {
    kind: 'opto',
    settings: {
      thresholdDbfs: -24,
      ratio: 4,
      kneeDb: 10,
      attackMs: 10,
      releaseMs: 60,
      recoverySeconds: 3,
      makeUpDb: 4,
    },
  },
  { kind: 'ceiling', settings: { ceilingDbtp: -1, lookAheadMs: 2, releaseMs: 80 } },
]

const NEUTRAL: StageSetup[] = [
  { kind: 'trim', settings: { gainDb: 0, invertPolarity: false } },
  {
    kind: 'expander',
    settings: { thresholdDbfs: -90, ratio: 1, rangeDb: 0, attackMs: 2, holdMs: 50, releaseMs: 120 },
  },
  { kind: 'tone', settings: { bands: [] } },
  { kind: 'de-ess', settings: { shape: 'bell', frequencyHz: 7000, thresholdDb: 30, rangeDb: 0 } },
  {
    kind: 'drive',
    settings: { amountDb: 0, referenceDbfs: 0, evenPercent: 0, mixPercent: 0, outputDb: 0 },
  },
  {
    kind: 'opto',
    settings: {
      thresholdDbfs: 0,
      ratio: 1,
      kneeDb: 0,
      attackMs: 10,
      releaseMs: 60,
      recoverySeconds: 3,
      makeUpDb: 0,
    },
  },
  { kind: 'ceiling', settings: { ceilingDbtp: 0, lookAheadMs: 5, releaseMs: 80 } },
]

describe('chain', () => {
  itKeepsTheLawsOfStages('all nine stages', (layout) => createChain(SETUPS, layout))

  it('is as late as its stages together, and bit-exact where every stage is neutral', () => {
    const chain = createChain(NEUTRAL, { sampleRateHz: 48_000, laneChannels: [1] })
    const input = impulse(3000, 700).map((x) => x * 0.3)
    const [[output]] = runStage(chain, [[input]])
    expect(chain.latencySamples).toBe(chain.stages.reduce((sum, stage) => sum + stage.latencySamples, 0))
    expect(output.subarray(chain.latencySamples)).toEqual(input.subarray(0, 3000 - chain.latencySamples))
  })

  it('shows the lanes at every joint, before the first stage and after each', () => {
    const seen: [number, number, number][] = []
    const tap = (joint: number, lanes: readonly Channels[], frames: number) =>
      seen.push([joint, lanes[0][0][0], frames])
    const chain = createChain(
      [
        { kind: 'trim', settings: { gainDb: 20, invertPolarity: false } },
        { kind: 'trim', settings: { gainDb: 0, invertPolarity: true } },
      ],
      { sampleRateHz: 48_000, laneChannels: [1] },
      tap,
    )
    chain.process([[Float64Array.of(0.01, 0)]], 2)
    expect(seen.map(([joint, first, frames]) => [joint, Number(first.toFixed(9)), frames])).toEqual([
      [0, 0.01, 2],
      [1, 0.1, 2],
      [2, -0.1, 2],
    ])
  })

  it('without stages leaves the sound alone', () => {
    const chain = createChain([], { sampleRateHz: 48_000, laneChannels: [1] })
    const input = impulse(10, 3)
    expect(runStage(chain, [[input]])[0][0]).toEqual(input)
    expect(chain.latencySamples).toBe(0)
  })

  it('refuses a checkpoint of another layout', () => {
    const mono = createChain(SETUPS, { sampleRateHz: 48_000, laneChannels: [1] })
    const stereo = createChain(SETUPS, { sampleRateHz: 48_000, laneChannels: [2] })
    expect(() => restoreMemory(stereo, saveMemory(mono))).toThrow(RangeError)
  })
})
