// Detects the polarity of a recorded voice. Each closure of the glottis is a sharp pulse in the
// residual of linear prediction, and all of them point the same way, which gives the
// polarity. Source: Drugman, "Residual excitation skewness" (2013, arXiv 2006.00525).

import { GrowingDoubles } from '../maths/growing-doubles.ts'
import { createRandom } from '../maths/random.ts'
import { createLinearPredictor } from './linear-prediction.ts'

/** The verdict on a take's polarity. */
export interface Polarity {
  readonly verdict: 'positive' | 'inverted' | 'undecided'
  /** Mean skewness of the residual over voiced frames, positive for correct polarity; null for no voice. */
  readonly skewness: number | null
  /** |skewness| over its bootstrap standard deviation. */
  readonly confidence: number
  readonly voicedSeconds: number
}

interface PolarityMeter {
  /** Takes `count` samples of the voice at a rate near 12 kHz, any number, from index `from` on. */
  add(samples: Float64Array, from: number, count: number): void
  /** @param isVoice false for sound that is not one voice, which leaves the verdict undecided */
  polarity(isVoice: boolean): Polarity
  /** Share of the sounding frames that are voiced. */
  voicedShare(): number
  /** Whether there is voice around a moment. */
  isVoiced(seconds: number): boolean
}

const WINDOW_SECONDS = 0.035
const HOP_SECONDS = 0.0175
/** Frames this far below the loudest so far are skipped. */
const ACTIVE_DB = 35
const MIN_POWER = 1e-7
/** Frames that linear prediction makes this much smaller are voiced (vowels: 15 to 30 dB; noises: under 10). */
const VOICED_GAIN = 10 ** (12 / 10)
/** Frames are averaged in groups of this length, which the bootstrap draws from. */
const GROUP_SECONDS = 0.25
const BOOTSTRAP_ROUNDS = 200
/** Below this confidence the verdict is undecided. */
export const MIN_CONFIDENCE = 3
const MIN_VOICED_SECONDS = 3
/** Less skewness than this says nothing about polarity, however consistent it is. */
const MIN_SKEWNESS = 0.15
/** Limit per frame, so that one huge pulse does not outweigh a second of other frames. */
const MAX_SKEWNESS = 4
/** Closures point up in the residual for correct polarity (calibrated with the generated voice). */
const SIGN = 1

/** @param delaySeconds delay of the samples */
export function createPolarityMeter(rateHz: number, delaySeconds: number): PolarityMeter {
  const windowSamples = Math.round(WINDOW_SECONDS * rateHz)
  const hop = Math.round(HOP_SECONDS * rateHz)
  const predictor = createLinearPredictor(Math.round(rateHz / 1000) + 4, windowSamples)
  const held = new Float64Array(predictor.order + windowSamples)
  const residual = new Float64Array(windowSamples)
  const framesPerGroup = Math.round(GROUP_SECONDS / HOP_SECONDS)
  const groups: number[] = []
  const voiced = new GrowingDoubles()
  const firstCentre = (predictor.order + windowSamples / 2) / rateHz - delaySeconds
  let filled = 0
  let loudest = 0
  let activeFrames = 0
  let voicedFrames = 0
  let groupSum = 0
  let groupFrames = 0

  function takeFrame(): void {
    let power = 0
    for (let n = predictor.order; n < held.length; n++) power += held[n] * held[n]
    power /= windowSamples
    voiced.push(0)
    if (power > loudest) loudest = power
    if (power < MIN_POWER || power < loudest * 10 ** (-ACTIVE_DB / 10)) return
    activeFrames++
    if (predictor.fit(held, predictor.order) < VOICED_GAIN) return
    voicedFrames++
    voiced.values()[voiced.length - 1] = 1
    predictor.residual(held, predictor.order, windowSamples, residual)
    groupSum += Math.max(-MAX_SKEWNESS, Math.min(MAX_SKEWNESS, skewnessOf(residual)))
    if (++groupFrames < framesPerGroup) return
    groups.push((SIGN * groupSum) / groupFrames)
    groupSum = 0
    groupFrames = 0
  }

  return {
    add(samples, from, count) {
      for (let read = 0; read < count; ) {
        const take = Math.min(count - read, held.length - filled)
        for (let i = 0; i < take; i++) held[filled + i] = samples[from + read + i]
        read += take
        filled += take
        if (filled < held.length) continue
        takeFrame()
        held.copyWithin(0, hop)
        filled -= hop
      }
    },
    polarity(isVoice) {
      const voicedSeconds = voicedFrames * HOP_SECONDS
      if (groups.length === 0) return { verdict: 'undecided', skewness: null, confidence: 0, voicedSeconds }
      const skewness = groups.reduce((sum, value) => sum + value, 0) / groups.length
      const deviation = bootstrapDeviation(groups)
      const confidence = deviation > 0 ? Math.abs(skewness) / deviation : 0
      const isDecided =
        isVoice &&
        voicedSeconds >= MIN_VOICED_SECONDS &&
        confidence >= MIN_CONFIDENCE &&
        Math.abs(skewness) >= MIN_SKEWNESS
      return {
        verdict: isDecided ? (skewness > 0 ? 'positive' : 'inverted') : 'undecided',
        skewness,
        confidence,
        voicedSeconds,
      }
    },
    isVoiced(seconds) {
      const at = Math.round((seconds - firstCentre) / (hop / rateHz))
      return at >= 0 && at < voiced.length && voiced.values()[at] === 1
    },
    voicedShare: () => (activeFrames === 0 ? 0 : voicedFrames / activeFrames),
  }
}

function skewnessOf(values: Float64Array): number {
  let sum = 0
  for (const value of values) sum += value
  const mean = sum / values.length
  let squares = 0
  let cubes = 0
  for (let n = 0; n < values.length; n++) {
    const d = values[n] - mean
    squares += d * d
    cubes += d * d * d
  }
  const variance = squares / values.length
  return variance > 0 ? cubes / values.length / (variance * Math.sqrt(variance)) : 0
}

/** Standard deviation of the mean by bootstrap: each round draws as many groups, with replacement. */
function bootstrapDeviation(groups: readonly number[]): number {
  if (groups.length < 2) return 0
  const random = createRandom(1)
  let sum = 0
  let squares = 0
  for (let round = 0; round < BOOTSTRAP_ROUNDS; round++) {
    let drawn = 0
    for (let i = 0; i < groups.length; i++) drawn += groups[Math.floor(random.uniform() * groups.length)]
    const mean = drawn / groups.length
    sum += mean
    squares += mean * mean
  }
  const mean = sum / BOOTSTRAP_ROUNDS
  return Math.sqrt(Math.max(0, squares / BOOTSTRAP_ROUNDS - mean * mean))
}
