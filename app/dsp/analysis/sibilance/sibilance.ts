// Measures sibilance in short frames: the power of 4 to 11 kHz against that of 0.2 to 4 kHz in the
// same frame, which is independent of gain, with the spectral centroid to tell an s from a
// breath. Which events were loud enough to be real is decided at the end. Three frames
// are averaged, since a single spectrum of noise is too uneven to measure (Reidy, "A
// comparison of spectral estimation methods for the analysis of sibilant fricatives",
// JASA 137(4), 2015).

import { pointsAtRate } from '../../maths/points-at-rate.ts'
import { createFrameSpectrum } from '../spectra/frame-spectrum.ts'
import { createFramer } from '../spectra/framer.ts'
import { createLevelClasses } from '../spectra/level-classes.ts'
import { createSibilantFinder, type FoundSibilant } from './sibilant-events.ts'

const FRAME_POINTS_AT_48K = 512
const VOICE_FROM_HZ = 200
const SIBILANT_FROM_HZ = 4000
const SIBILANT_TO_HZ = 11_000
/** The bands of the de-ess stage, whose threshold is set from the same frames. */
const DE_ESS_FROM_HZ = 4500
const DE_ESS_TO_HZ = 10_500
/** An event counts if its level is this far above the quietest tenth and not this far below the loudest. */
const OVER_FLOOR_DB = 10
const UNDER_LOUDEST_DB = 40
/** Histogram of ratios from -60 dB up in steps of 1 dB, for the distribution over the vowels. */
const LOWEST_RATIO_DB = -60
const RATIOS = 100

interface ShortFrames {
  /** @param count any number of samples */
  add(samples: Float64Array, count: number): void
  finish(): ShortFrameFacts
}

/** Results of the short frames of a take. */
export interface ShortFrameFacts {
  /** In order of time. */
  readonly sibilants: readonly FoundSibilant[]
  readonly binHz: number
  /** Ratio of the de-ess stage below which 95 % of the loud non-sibilant frames are; null without any. */
  readonly vowelRatioP95Db: number | null
  /** Seconds within 25 dB of the loud frames. */
  readonly activeSeconds: number
  /** Percentiles of the RMS levels of 11 ms in that time: 10 % are below the first, 5 % above the second. */
  readonly quietDbfs: number | null
  readonly loudDbfs: number | null
}

/** Frames within this of the loud ones (95th percentile) are singing; pauses and breaths are below (our choice). */
const ACTIVE_RANGE_DB = 25

/** @param sampleRateHz of the mono samples that are added */
export function createShortFrames(sampleRateHz: number): ShortFrames {
  const points = pointsAtRate(FRAME_POINTS_AT_48K, sampleRateHz)
  const hop = points / 2
  const spectrum = createFrameSpectrum(points, sampleRateHz)
  const { powers, binHz } = spectrum
  const framer = createFramer(points, hop)
  const sibilants: FoundSibilant[] = []
  const finder = createSibilantFinder(binHz, powers.length, (sibilant) => sibilants.push(sibilant))
  const levels = createLevelClasses(RATIOS)
  const sibilantLevels = createLevelClasses(0)
  const none = new Float64Array(0)
  const oneRatio = new Float64Array(RATIOS)
  const firstBin = Math.ceil(VOICE_FROM_HZ / binHz)
  const lastBin = Math.min(powers.length - 1, Math.floor(SIBILANT_TO_HZ / binHz))
  // Sums of each of the last three frames, and the spectrum of the middle one.
  const above = new Float64Array(3)
  const below = new Float64Array(3)
  const moments = new Float64Array(3)
  const masses = new Float64Array(3)
  const middle = new Float64Array(powers.length)
  let frames = 0

  function takeFrame(frame: Float64Array, startSample: number): void {
    middle.set(powers)
    spectrum.measure(frame)
    const slot = frames % 3
    above[slot] = spectrum.bandPower(SIBILANT_FROM_HZ, SIBILANT_TO_HZ)
    below[slot] = spectrum.bandPower(VOICE_FROM_HZ, SIBILANT_FROM_HZ)
    let mass = 0
    let moment = 0
    for (let k = firstBin; k <= lastBin; k++) {
      mass += powers[k]
      moment += powers[k] * k
    }
    masses[slot] = mass
    moments[slot] = moment
    countLevel()
    frames++
    if (frames < 3) return
    const total = masses[0] + masses[1] + masses[2]
    if (total <= 0) return
    finder.add(
      (startSample - hop + points / 2) / sampleRateHz,
      (above[0] + above[1] + above[2]) / 3,
      (below[0] + below[1] + below[2]) / 3,
      ((moments[0] + moments[1] + moments[2]) / total) * binHz,
      middle,
    )
  }

  function countLevel(): void {
    const whole = spectrum.bandPower(1.5 * binHz, sampleRateHz)
    if (whole <= 0) return
    const sibilant = spectrum.bandPower(DE_ESS_FROM_HZ, DE_ESS_TO_HZ)
    const voice = spectrum.bandPower(VOICE_FROM_HZ, SIBILANT_FROM_HZ)
    const ratioDb = 4.342944819 * Math.log((sibilant + 1e-30) / (voice + 1e-30))
    const at = Math.min(RATIOS - 1, Math.max(0, Math.floor(ratioDb - LOWEST_RATIO_DB)))
    oneRatio[at] = 1
    levels.add(whole, oneRatio)
    oneRatio[at] = 0
    if (sibilant > 0) sibilantLevels.add(sibilant, none)
  }

  return {
    add(samples, count) {
      framer.add(samples, count, takeFrame)
    },
    finish() {
      finder.finish()
      const loudest = levels.levelAtShareDbfs(0.95)
      const gate = loudest === null ? Number.POSITIVE_INFINITY : loudest - ACTIVE_RANGE_DB
      const active = levels.meansBetween(gate, Number.POSITIVE_INFINITY)
      const floorDbfs = (sibilantLevels.levelAtShareDbfs(0.1) ?? 0) + OVER_FLOOR_DB
      const leastDbfs = (sibilantLevels.levelAtShareDbfs(0.99) ?? 0) - UNDER_LOUDEST_DB
      return {
        sibilants: sibilants.filter(({ levelDbfs }) => levelDbfs > floorDbfs && levelDbfs > leastDbfs),
        binHz,
        vowelRatioP95Db: active === null ? null : vowelRatioP95(active.means),
        activeSeconds: ((active?.frames ?? 0) * hop) / sampleRateHz,
        quietDbfs: levels.levelAtShareDbfs(0.1, gate),
        loudDbfs: levels.levelAtShareDbfs(0.95, gate),
      }
    },
  }
}

/** 95th percentile of the ratios below 0 dB: above 0 dB sibilance exceeds voice, so it is not a vowel. */
function vowelRatioP95(shares: Float64Array): number | null {
  const vowels = -LOWEST_RATIO_DB
  let all = 0
  for (let i = 0; i < vowels; i++) all += shares[i]
  let below = 0
  for (let i = 0; i < vowels; i++) {
    below += shares[i]
    if (all > 0 && below >= 0.95 * all) return LOWEST_RATIO_DB + i + 1
  }
  return null
}
