// The stages that run on the kernels against the same stages in plain TypeScript, sample by sample.

import { describe, expect, it } from 'vitest'
import { designBands } from '../../../app/dsp/filters/matched.ts'
import type { Stage, StageLayout } from '../../../app/dsp/stage.ts'
import { createCeiling } from '../../../app/dsp/stages/ceiling.ts'
import { createDeEss } from '../../../app/dsp/stages/de-ess.ts'
import { createDrive } from '../../../app/dsp/stages/drive.ts'
import { createExpander } from '../../../app/dsp/stages/expander.ts'
import { createOpto } from '../../../app/dsp/stages/opto.ts'
import { createSectionStage } from '../../../app/dsp/stages/section-stage.ts'
import type {
  CeilingSettings,
  DeEssSettings,
  DriveSettings,
  ExpanderSettings,
  OptoSettings,
} from '../../../app/dsp/stages/settings.ts'
import { createPlainCeiling } from '../reference/ceiling.ts'
import { createPlainDeEss } from '../reference/de-ess.ts'
import { createPlainDrive } from '../reference/drive.ts'
import { createPlainExpander } from '../reference/expander.ts'
import { createPlainOpto } from '../reference/opto.ts'
import { createPlainSectionStage } from '../reference/section-stage.ts'
import { type Lanes, lively, runStage } from './stage-laws.ts'

/** Of full scale: far below the last bit of any file, far above what sums in another order differ by. */
const BOUND = 1e-12
const ODD_BLOCKS = [1024, 1, 2, 3, 333, 64, 7, 511]

const sounds = [1, 2, 3, 4, 5].map(lively)
const LAYOUTS: readonly (readonly [string, Lanes])[] = [
  ['mono', [[sounds[0]]]],
  ['stereo', [[sounds[0], sounds[1]]]],
  ['stereo with followers', [[sounds[0], sounds[1]], [sounds[2]], [sounds[3], sounds[4]]]],
  ['mono with followers', [[sounds[0]], [sounds[2]], [sounds[3]]]],
]

function itMatchesPlain(
  name: string,
  create: (layout: StageLayout) => Stage,
  createPlain: (layout: StageLayout) => Stage,
  rates: readonly number[] = [48_000],
  bound = BOUND,
): void {
  it.each(rates.flatMap((rateHz) => LAYOUTS.map(([of, lanes]) => [of, rateHz, lanes] as const)))(
    `${name}: %s at %d Hz, every sample within ${bound} of plain`,
    (_, sampleRateHz, lanes) => {
      const layout = { sampleRateHz, laneChannels: lanes.map((channels) => channels.length) }
      const fast = create(layout)
      const plain = createPlain(layout)
      expect(fast.latencySamples).toBe(plain.latencySamples)
      const output = runStage(fast, lanes, ODD_BLOCKS)
      const wanted = runStage(plain, lanes)
      let worst = 0
      let acted = 0
      for (const [lane, channels] of wanted.entries()) {
        for (const [channel, samples] of channels.entries()) {
          for (let n = 0; n < samples.length; n++) {
            const strays = Math.abs(output[lane][channel][n] - samples[n])
            // Written so that NaN counts as the worst.
            if (!(strays <= worst)) worst = strays
            acted = Math.max(acted, Math.abs(samples[n]))
          }
        }
      }
      expect(acted).toBeGreaterThan(0.02)
      expect(worst).toBeLessThanOrEqual(bound)
    },
  )
}

describe('drive', () => {
  const SETTINGS: DriveSettings = {
    amountDb: 6,
    referenceDbfs: -12,
    evenPercent: 20,
    mixPercent: 100,
    outputDb: -1,
  }
  for (const [name, changes, rates] of [
    ['4 times the rate', {}, [8000, 44_100, 48_000, 96_000, 192_000]],
    ['8 times, half mixed in', { amountDb: 12, mixPercent: 50 }, [44_100, 48_000]],
    ['16 times, no bias', { amountDb: 36, evenPercent: 0 }, [44_100, 48_000]],
    ['not mixed in', { mixPercent: 0 }, [48_000]],
  ] as const) {
    const settings = { ...SETTINGS, ...changes }
    itMatchesPlain(
      name,
      (layout) => createDrive(settings, layout),
      (layout) => createPlainDrive(settings, layout),
      rates,
    )
  }
})

describe('sections in a row', () => {
  const BANDS = [
    { shape: 'bell', frequencyHz: 250, gainDb: -3, q: 1 },
    { shape: 'low-shelf', frequencyHz: 120, gainDb: 4, q: 0.7 },
    { shape: 'bell', frequencyHz: 3150, gainDb: 6, q: 4 },
    { shape: 'high-shelf', frequencyHz: 10_000, gainDb: -5, q: 0.7 },
    { shape: 'bell', frequencyHz: 40, gainDb: 8, q: 2 },
    { shape: 'bell', frequencyHz: 12_000, gainDb: 3, q: 1 },
    { shape: 'bell', frequencyHz: 700, gainDb: -9, q: 1 },
  ] as const
  for (let count = 0; count <= BANDS.length; count++) {
    const sections = designBands(BANDS.slice(0, count), 48_000)
    itMatchesPlain(
      `${count} sections`,
      (layout) => createSectionStage(sections, layout),
      (layout) => createPlainSectionStage(sections, layout),
      [48_000],
      0,
    )
  }
})

describe('opto', () => {
  const SETTINGS: OptoSettings = {
    thresholdDbfs: -24,
    ratio: 4,
    kneeDb: 10,
    attackMs: 10,
    releaseMs: 60,
    recoverySeconds: 3,
    makeUpDb: 2,
  }
  for (const [name, changes] of [
    ['usual settings', {}],
    ['hard knee, quick, no make-up', { kneeDb: 0, attackMs: 1, releaseMs: 20, makeUpDb: 0 }],
    ['never reached', { thresholdDbfs: 0, kneeDb: 0, makeUpDb: 0 }],
  ] as const) {
    const settings = { ...SETTINGS, ...changes }
    itMatchesPlain(
      name,
      (layout) => createOpto(settings, layout),
      (layout) => createPlainOpto(settings, layout),
      [8000, 48_000, 192_000],
    )
  }
})

describe('de-ess', () => {
  const SETTINGS: DeEssSettings = { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: 0, rangeDb: 6 }
  for (const [name, changes] of [
    ['high shelf', {}],
    ['bell, deep and eager', { shape: 'bell', frequencyHz: 7000, thresholdDb: -12, rangeDb: 12 }],
    ['never reached', { thresholdDb: 40 }],
  ] as const) {
    const settings = { ...SETTINGS, ...changes }
    itMatchesPlain(
      name,
      (layout) => createDeEss(settings, layout),
      (layout) => createPlainDeEss(settings, layout),
      [22_050, 48_000, 192_000],
    )
  }
})

describe('ceiling', () => {
  const SETTINGS: CeilingSettings = { ceilingDbtp: -1, lookAheadMs: 2, releaseMs: 80 }
  for (const [name, changes] of [
    ['now and then', {}],
    ['all the time, long', { ceilingDbtp: -20, lookAheadMs: 10, releaseMs: 300 }],
    ['short', { ceilingDbtp: -6, lookAheadMs: 0.1, releaseMs: 5 }],
    ['one frame', { ceilingDbtp: -12, lookAheadMs: 0, releaseMs: 1 }],
    ['never reached', { ceilingDbtp: 20 }],
  ] as const) {
    const settings = { ...SETTINGS, ...changes }
    itMatchesPlain(
      name,
      (layout) => createCeiling(settings, layout),
      (layout) => createPlainCeiling(settings, layout),
      [8000, 48_000, 192_000],
      0,
    )
  }
})

describe('expander', () => {
  const SETTINGS: ExpanderSettings = {
    thresholdDbfs: -40,
    ratio: 2,
    rangeDb: 12,
    attackMs: 2,
    holdMs: 50,
    releaseMs: 120,
  }
  for (const [name, changes] of [
    ['usual settings', {}],
    ['hard, quick, wide', { ratio: 10, rangeDb: 60, attackMs: 0.1, holdMs: 0, releaseMs: 10 }],
    ['always open', { thresholdDbfs: -200, holdMs: 0 }],
  ] as const) {
    const settings = { ...SETTINGS, ...changes }
    itMatchesPlain(
      name,
      (layout) => createExpander(settings, layout),
      (layout) => createPlainExpander(settings, layout),
      [8000, 48_000, 192_000],
    )
  }
})
