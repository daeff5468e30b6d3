import { describe, expect, it } from 'vitest'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import { createChain } from '../../../app/dsp/chain.ts'
import type { Channels, Stage, StageLayout } from '../../../app/dsp/stage.ts'
import { shareOf } from '../../../app/engine/chain/chain-share.ts'
import {
  COMING,
  CONTROL_WORDS,
  FAILED,
  PHASE,
  READY,
  RUNNING,
} from '../../../app/engine/chain/shared-stages.ts'
import {
  createSplitChain,
  type SplitOptions,
  type StartHelper,
  sharedLevels,
} from '../../../app/engine/chain/split-chain.ts'
import { startChainHelper } from '../../../app/workers/start-chain-helper.ts'
import { lively } from '../../dsp/stages/stage-laws.ts'

const RATE_HZ = 48_000
// With stages at both ends that would tell silence put before the sound: an expander closes in it.
const EXPANDER: StageSetup = {
  kind: 'expander',
  settings: { thresholdDbfs: -50, ratio: 2, rangeDb: 12, attackMs: 2, holdMs: 50, releaseMs: 120 },
}
const SETUPS: readonly StageSetup[] = [
  EXPANDER,
  { kind: 'low-cut', settings: { frequencyHz: 80, slopeDbPerOctave: 24 } },
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
  EXPANDER,
  { kind: 'ceiling', settings: { ceilingDbtp: -8, lookAheadMs: 2, releaseMs: 80 } },
]
const ALONE: SplitOptions = { besideNs: 8, startHelper: null, measured: null }

/** About seven seconds. */
const longSound = (seed: number): Float64Array => {
  const sound = lively(seed)
  const long = new Float64Array(4 * sound.length)
  for (let k = 0; k < 4; k++) long.set(sound, k * sound.length)
  return long
}
const [left, right, middle] = [1, 2, 3].map(longSound)
const LAYOUTS: readonly (readonly [string, readonly Channels[]])[] = [
  ['mono', [[left]]],
  ['stereo', [[left, right]]],
  ['stereo with followers', [[left, right], [middle], [right, left]]],
]

/** Everything through a stage and out again, its latency taken off. */
function through(
  stage: Pick<Stage, 'process' | 'latencySamples'>,
  lanes: readonly Channels[],
  blocks: readonly number[],
): Float64Array[] {
  const frames = lanes[0][0].length
  const total = frames + stage.latencySamples
  const inAndOut = lanes.map((channels) =>
    channels.map((samples) => {
      const padded = new Float64Array(total)
      padded.set(samples)
      return padded
    }),
  )
  for (let at = 0, turn = 0; at < total; turn++) {
    const count = Math.min(blocks[turn % blocks.length], total - at)
    stage.process(
      inAndOut.map((channels) => channels.map((samples) => samples.subarray(at, at + count))),
      count,
    )
    at += count
  }
  return inAndOut.flatMap((channels) => channels.map((samples) => samples.subarray(stage.latencySamples)))
}

const layoutOf = (lanes: readonly Channels[]): StageLayout => ({
  sampleRateHz: RATE_HZ,
  laneChannels: lanes.map((channels) => channels.length),
})

describe('the share of a second thread', () => {
  it('is what stands in the middle and costs about half', () => {
    expect(shareOf(SETUPS, { sampleRateHz: RATE_HZ, laneChannels: [1] }, 8)).toEqual({ from: 2, to: 4 })
  })

  it('is less of the chain where many follow, for whom only the drive is work', () => {
    const laneChannels = [2, 2, 2, 2]
    expect(shareOf(SETUPS, { sampleRateHz: RATE_HZ, laneChannels }, 90)).toEqual({ from: 3, to: 4 })
  })

  it('is nothing where there is little to do', () => {
    const { from, to } = shareOf([SETUPS[1], SETUPS[6]], { sampleRateHz: RATE_HZ, laneChannels: [1] }, 8)
    expect(from).toBe(to)
  })
})

describe.each(LAYOUTS)('a chain split for two threads, %s', (_, lanes) => {
  const layout = layoutOf(lanes)
  const wanted = through(createChain(SETUPS, layout), lanes, [1024])

  it.each([[[1024]], [[1000, 1, 24, 777]]])(
    'on one thread gives the samples of the chain, blocks of %j',
    (blocks) => {
      const split = createSplitChain(SETUPS, layout, ALONE)
      expect(through(split, lanes, blocks)).toEqual(wanted)
    },
  )

  it('with a helper gives them too', () => {
    const split = createSplitChain(SETUPS, layout, { ...ALONE, startHelper: startChainHelper })
    expect(through(split, lanes, [1024])).toEqual(wanted)
    split.close()
  })
})

describe('its helper', () => {
  const layout = layoutOf([[left]])
  const noControl = () => new Int32Array(new SharedArrayBuffer(4 * CONTROL_WORDS))

  it('takes the stages over once it is there', () => {
    let control = noControl()
    const startHelper: StartHelper = (shared) => {
      control = shared.control
      return startChainHelper(shared)
    }
    const split = createSplitChain(SETUPS, layout, { ...ALONE, startHelper })
    const { latencySamples } = split
    let helped = 0
    const process: Stage['process'] = (lanes, frames) => {
      split.process(lanes, frames)
      while (Atomics.load(control, PHASE) === COMING) Atomics.wait(control, PHASE, COMING, 10)
      if (Atomics.load(control, PHASE) === RUNNING) helped++
    }
    expect(through({ process, latencySamples }, [[left]], [1024])).toEqual(
      through(createChain(SETUPS, layout), [[left]], [1024]),
    )
    expect(helped).toBeGreaterThan(100)
    split.close()
  })

  it('that is not to be had is asked for again, and nothing waits for it', () => {
    let asked = 0
    const split = createSplitChain(SETUPS, layout, {
      ...ALONE,
      startHelper: () => {
        asked++
        return null
      },
    })
    expect(through(split, [[left]], [1024])).toEqual(through(createChain(SETUPS, layout), [[left]], [1024]))
    expect(asked).toBeGreaterThan(100)
  })

  it('that fails is told of, and nobody waits for it', () => {
    let control = noControl()
    const startHelper: StartHelper = (shared) => {
      control = shared.control
      Atomics.store(control, PHASE, READY)
      return () => {}
    }
    const split = createSplitChain(SETUPS, layout, { ...ALONE, startHelper })
    const lanes = [[new Float64Array(1024)]]
    // Takes the stages over and does nothing with them.
    split.process(lanes, 1024)
    Atomics.store(control, PHASE, FAILED)
    expect(() => {
      for (let k = 0; k < 200; k++) split.process(lanes, 1024)
    }).toThrow('helper')
    // Whoever started its thread can tell after the chain's end that it is not to be used again.
    split.close()
    expect(Atomics.load(control, PHASE)).toBe(FAILED)
  })

  it('changes none of the levels', () => {
    const frames = left.length
    const found = [null, startChainHelper].map((startHelper) => {
      const levels = sharedLevels(SETUPS.length)
      const split = createSplitChain(SETUPS, layout, {
        besideNs: 8,
        startHelper,
        measured: { levels, frames },
      })
      through(split, [[left]], [1024])
      split.close()
      return { powers: [...levels.powers], reductionsDb: [...levels.reductionsDb] }
    })
    expect(found[1]).toEqual(found[0])
    const [{ powers, reductionsDb }] = found
    expect(powers[0]).toBeCloseTo(
      left.reduce((sum, x) => sum + x * x, 0),
      6,
    )
    expect(reductionsDb.map((db) => db > 0.1)).toEqual([true, false, true, false, true, true, true])
  })
})
