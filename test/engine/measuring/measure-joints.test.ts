// The joints of a chain: continuous across the sum, and the same from a kept joint on.

import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { StageSetup } from '../../../app/contract/render-plan.ts'
import {
  joinParts,
  type MeasureOptions,
  measureJoints,
  type StageRange,
  type StageToMeasure,
} from '../../../app/engine/measuring/measure-joints.ts'
import { createPassedSound, createSoundReceiver } from '../../../app/engine/measuring/passed-sound.ts'
import { splitStages } from '../../../app/engine/measuring/split-stages.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { takeInMemory } from '../../signals/takes.ts'

const FRAMES = 3 * 48_000
const take = takeInMemory([
  whiteNoise(FRAMES, 1, 0.6).map((x, i) => x * (0.02 + 0.98 * Number(i % 30_000 < 15_000))),
])

const stage = (kind: keyof typeof defaultStages, changes: object = {}, on = true): StageToMeasure => ({
  kind,
  on,
  remark: null,
  setup: on ? ({ kind, settings: { ...defaultStages[kind].settings, ...changes } } as StageSetup) : null,
})
const measure = (
  stages: readonly StageToMeasure[],
  options: MeasureOptions = {},
  ranges: readonly StageRange[] = [{ fromStage: options.from?.beforeStage ?? 0, toStage: stages.length }],
  source = take,
  isPassedOn = false,
) => {
  // It has room for the whole take, so the two ends may also run one after the other.
  const passed = isPassedOn ? createPassedSound(source.channels, source.frames, 48_000) : null
  return joinParts(
    ranges.map((range) => measureJoints(source, 48_000, stages, range, () => {}, options, passed)),
    options,
  )
}

describe('the joints', () => {
  it('read RMS, peak and crest of the take at the first: uniform noise has 10 log10(1/3) under its peak', () => {
    const steady = takeInMemory([whiteNoise(FRAMES, 1, 0.5)])
    const [joint] = measure([], {}, undefined, steady).measurement.joints
    expect(joint.samplePeakDbfs).toBeCloseTo(-6.02, 1)
    expect(joint.levelDbfs).toBeCloseTo(-6.02 - 4.77, 1)
    expect(joint.crestDb).toBeCloseTo(4.77, 1)
  })

  it('run on unbroken across the sum of the layers', () => {
    const { joints } = measure([stage('trim'), stage('low-cut', { frequencyHz: 16 })]).measurement
    expect(joints[2].levelDbfs).toBeCloseTo(joints[1].levelDbfs ?? 0, 1)
    expect(joints[2].loudnessLufs).toBeCloseTo(joints[1].loudnessLufs ?? 0, 1)
  })

  it('repeat where a stage is off, and say so', () => {
    const { joints, stages } = measure([stage('trim', { gainDb: -6 }), stage('opto', {}, false)]).measurement
    expect(joints[1].levelDbfs).toBeCloseTo((joints[0].levelDbfs ?? 0) - 6, 6)
    expect(joints[2]).toEqual(joints[1])
    expect(stages[1]).toMatchObject({ on: false, maxReductionDb: null })
  })
})

it('a ceiling that has nothing to do leaves every strand as it was, late or not', () => {
  const { joints } = measure([stage('ceiling', { ceilingDbtp: 0, lookAheadMs: 5 })]).measurement
  for (const [s, strand] of joints[0].strandsDbfs.entries()) {
    expect(Math.abs((joints[1].strandsDbfs[s] ?? 0) - (strand ?? 0))).toBeLessThan(0.05)
  }
})

describe('from a kept joint on', () => {
  const chain = (thresholdDbfs: number): StageToMeasure[] => [
    stage('expander'),
    stage('low-cut'),
    stage('de-ess', { thresholdDb: -12 }),
    stage('drive'),
    stage('opto', { thresholdDbfs }),
    stage('ceiling', { ceilingDbtp: -12 }),
  ]

  it.each([0, 1, 2, 4, 5])(
    'kept before stage %i, everything is measured as from the take',
    (keepBeforeStage) => {
      const { kept } = measure(chain(-30), { keepBeforeStage })
      const changed =
        keepBeforeStage <= 4
          ? chain(-24)
          : [...chain(-30).slice(0, 5), stage('ceiling', { ceilingDbtp: -15 })]
      const resumed = measure(changed, { from: kept }).measurement
      const whole = measure(changed).measurement
      for (const [k, joint] of whole.joints.entries()) {
        const other = resumed.joints[k]
        // A kept joint has 32-bit floats.
        expect(other.levelDbfs).toBeCloseTo(joint.levelDbfs ?? 0, 4)
        expect(other.loudnessLufs).toBeCloseTo(joint.loudnessLufs ?? 0, 4)
        expect(other.crestDb).toBeCloseTo(joint.crestDb ?? 0, 3)
        for (const [s, strand] of joint.strandsDbfs.entries())
          expect(other.strandsDbfs[s]).toBeCloseTo(strand ?? 0, 3)
      }
      for (const [k, one] of whole.stages.entries()) {
        expect(resumed.stages[k].maxReductionDb ?? 0).toBeCloseTo(one.maxReductionDb ?? 0, 3)
        expect(resumed.stages[k].medianReductionDb ?? 0).toBeCloseTo(one.medianReductionDb ?? 0, 3)
      }
    },
  )
})

describe('split over two threads', () => {
  const chain = [
    stage('trim', { gainDb: -3 }),
    stage('expander', {}, false),
    stage('low-cut'),
    stage('drive'),
    stage('opto', {}, false),
    stage('ceiling', { ceilingDbtp: -12 }),
  ]

  describe.each([
    ['runs the first stages again', false],
    ['gets the sound of the first', true],
  ])('the second of which %s', (_, isPassedOn) => {
    it.each([1, 2, 3, 4, 5])('before stage %i, every figure and the kept joint are the same', (split) => {
      const ranges = [
        { fromStage: 0, toStage: split },
        { fromStage: split, toStage: chain.length },
      ]
      const parts = (options: MeasureOptions, of = ranges) => measure(chain, options, of, take, isPassedOn)
      for (const keepBeforeStage of [null, 2, 4]) {
        expect(parts({ keepBeforeStage })).toEqual(measure(chain, { keepBeforeStage }))
      }
      const { kept } = measure(chain, { keepBeforeStage: 1 })
      if (split > 1) {
        const rest = [{ fromStage: 1, toStage: split }, ranges[1]]
        expect(parts({ from: kept }, rest)).toEqual(measure(chain, { from: kept }))
      }
    })
  })

  it('stops waiting for sound when it is cancelled', () => {
    const passed = createPassedSound(2, 48_000, 48_000)!
    const waiting = (): void => {
      throw new Error('cancelled')
    }
    expect(() => createSoundReceiver(passed, waiting).receive(0, 1, [new Float64Array(1)])).toThrow(
      'cancelled',
    )
  })

  it('passes nothing on where a mono take has more than eleven minutes', () => {
    expect(createPassedSound(1, 660 * 48_000, 48_000)).not.toBeNull()
    expect(createPassedSound(1, 720 * 48_000, 48_000)).toBeNull()
  })

  it('takes one thread where a second saves nothing, and balances metering otherwise', () => {
    expect(splitStages(chain, 0, 1, true)).toEqual([{ fromStage: 0, toStage: 6 }])
    expect(splitStages(chain, 5, 2, true)).toEqual([{ fromStage: 5, toStage: 6 }])
    expect(splitStages([], 0, 2, true)).toEqual([{ fromStage: 0, toStage: 0 }])
    // Three meters, input and trim and low-cut, against two with the costly drive.
    expect(splitStages(chain, 0, 2, true)).toEqual([
      { fromStage: 0, toStage: 3 },
      { fromStage: 3, toStage: 6 },
    ])
  })
})
