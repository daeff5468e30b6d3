// What the opto makes of a voice: its reductions at several thresholds, asked of the stage itself, since they
// follow from its detector and its memory as much as from the levels of the voice.

import { dbFromPower } from '../maths/decibels.ts'
import { BLOCK_FRAMES } from '../stage.ts'
import { createStage } from '../stages/create-stage.ts'
import type { OptoSettings } from '../stages/settings.ts'

/** The opto of the usual chain; threshold and ratio depend on the voice. */
export const USUAL_OPTO: Omit<OptoSettings, 'thresholdDbfs' | 'ratio'> = {
  kneeDb: 10,
  attackMs: 10,
  releaseMs: 60,
  recoverySeconds: 3,
  makeUpDb: 0,
}

/** The opto's work on the singing at one threshold; levels in dBFS, over stretches of 5 ms. */
interface LevellingStep {
  readonly thresholdDbfs: number
  readonly medianReductionDb: number
  /** A tenth of the singing is reduced by more. */
  readonly loudReductionDb: number
  /** Highest sample behind the opto. */
  readonly peakDbfs: number
  /** 99 % of the stretches stay below. */
  readonly usualPeakDbfs: number
}

/** In order of falling threshold. */
export interface Levelling {
  readonly ratio: number
  readonly steps: readonly LevellingStep[]
}

interface LevellingProbe {
  /** @param count samples of the block */
  add(block: Float64Array, count: number): void
  /**
   * @param loudDbfs, quietDbfs RMS levels of the loud and of the soft moments of the singing
   * @returns null without sound
   */
  finish(loudDbfs: number, quietDbfs: number): Levelling | null
}

/** Voices with a wider dynamic range get the higher ratio. */
const WIDE_RANGE_DB = 18
/** Peak of a sine over its RMS: the stage's levels are referred to sines (AES17). */
export const SINE_CREST_DB = 3.01
const THRESHOLDS_UNDER_LOUD_DB = [-2, 3, 8, 13, 18]
const STRETCH_SECONDS = 0.005
/** Stretches within this of the loud ones are singing. */
const ACTIVE_RANGE_DB = 25
/** Sound that is kept, in stretches of a second spread over the take; bounds memory and time of long takes. */
const KEPT_SECONDS = 48

export function createLevellingProbe(sampleRateHz: number): LevellingProbe {
  const length = Math.round(sampleRateHz)
  /** Every `stride`-th second of the take. */
  let kept: Float32Array[] = []
  let stride = 1
  let second = new Float32Array(length)
  let filled = 0
  let count = 0

  function keep(): void {
    if (count % stride === 0) {
      kept.push(second.subarray(0, filled))
      second = new Float32Array(length)
    }
    if (kept.length > KEPT_SECONDS) {
      kept = kept.filter((_, i) => i % 2 === 0)
      stride *= 2
    }
    count++
    filled = 0
  }

  return {
    add(block, frames) {
      for (let n = 0; n < frames; n++) {
        second[filled++] = block[n]
        if (filled === length) keep()
      }
    },
    finish(loudDbfs, quietDbfs) {
      if (filled > 0) keep()
      if (kept.length === 0) return null
      const ratio = loudDbfs - quietDbfs > WIDE_RANGE_DB ? 4 : 3
      const steps = THRESHOLDS_UNDER_LOUD_DB.map((underDb) => {
        const thresholdDbfs = Math.min(0, Math.max(-60, loudDbfs + SINE_CREST_DB - underDb))
        return stepAt({ ...USUAL_OPTO, thresholdDbfs, ratio }, loudDbfs - ACTIVE_RANGE_DB)
      })
      return { ratio, steps }
    },
  }

  function stepAt(settings: OptoSettings, activeDbfs: number): LevellingStep {
    const stage = createStage({ kind: 'opto', settings }, { laneChannels: [1], sampleRateHz })
    const stretch = Math.min(BLOCK_FRAMES, Math.max(1, Math.round(STRETCH_SECONDS * sampleRateHz)))
    const samples = new Float64Array(stretch)
    const reductionsDb: number[] = []
    const peaks: number[] = []
    for (const sound of kept) {
      for (let at = 0; at + stretch <= sound.length; at += stretch) {
        let power = 0
        for (let n = 0; n < stretch; n++) {
          samples[n] = sound[at + n]
          power += samples[n] * samples[n]
        }
        stage.process([[samples]], stretch)
        if (!(dbFromPower(power / stretch) > activeDbfs)) continue
        let peak = 0
        for (let n = 0; n < stretch; n++) peak = Math.max(peak, Math.abs(samples[n]))
        reductionsDb.push(stage.reductionDb)
        peaks.push(peak)
      }
    }
    reductionsDb.sort((a, b) => a - b)
    peaks.sort((a, b) => a - b)
    const at = (values: readonly number[], share: number): number =>
      values[Math.floor(share * (values.length - 1))] ?? 0
    return {
      thresholdDbfs: settings.thresholdDbfs,
      medianReductionDb: at(reductionsDb, 0.5),
      loudReductionDb: at(reductionsDb, 0.9),
      peakDbfs: dbFromPower(at(peaks, 1) ** 2 + MIN_POWER),
      usualPeakDbfs: dbFromPower(at(peaks, 0.99) ** 2 + MIN_POWER),
    }
  }
}

const MIN_POWER = 1e-12

/** The opto's work at a threshold between those that were asked, linear between them. */
export function levellingAt({ steps }: Levelling, thresholdDbfs: number): LevellingStep {
  const after = Math.min(
    steps.length - 1,
    Math.max(
      1,
      steps.findIndex((step) => step.thresholdDbfs <= thresholdDbfs),
    ),
  )
  const [above, below] = [steps[after - 1], steps[after]]
  const width = above.thresholdDbfs - below.thresholdDbfs
  const share = width > 0 ? Math.min(1, Math.max(0, (above.thresholdDbfs - thresholdDbfs) / width)) : 0
  const between = (name: keyof LevellingStep): number => above[name] + share * (below[name] - above[name])
  return {
    thresholdDbfs,
    medianReductionDb: between('medianReductionDb'),
    loudReductionDb: between('loudReductionDb'),
    peakDbfs: between('peakDbfs'),
    usualPeakDbfs: between('usualPeakDbfs'),
  }
}
