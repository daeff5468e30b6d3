// Finds breaths by their kind and not by their level: noise without pitch, with most of its power below the
// sibilants, for as long as a breath lasts. (A level alone misses loud breaths, as levelled takes have them.)

import { createFramer } from '../analysis/spectra/framer.ts'
import { createRealFft } from '../maths/fft.ts'
import { GrowingDoubles } from '../maths/growing-doubles.ts'
import type { Span } from '../maths/span.ts'

/** A breath, and how loud it is. */
export interface Breath extends Span {
  /** RMS from 80 Hz up of its loudest half. */
  readonly levelDbfs: number
}

/** The levels of the take, as the take check gives them. */
interface BreathLevels {
  readonly powers: Float64Array
  readonly frameSeconds: number
  readonly floorDbfs: number
  /** 95th percentile. */
  readonly voiceDbfs: number
}

interface BreathSearch {
  /** Takes samples of the take in order. */
  add(samples: Float64Array, count: number): void
  breaths(levels: BreathLevels): readonly Breath[]
}

const WINDOW_SECONDS = 0.04
const PITCHED_FROM_HZ = 80
const PITCHED_TO_HZ = 1500
const LOWEST_PITCH_HZ = 65
const HIGHEST_PITCH_HZ = 500
/** Greatest correlation with itself one period later. */
const MOST_PITCHED = 0.6
const FLAT_FROM_HZ = 300
const FLAT_TO_HZ = 6000
/** Least ratio of the geometric to the arithmetic mean of the spectrum. */
const LEAST_FLATNESS_DB = -9.5
const SIBILANT_FROM_HZ = 5000
const OVER_FLOOR_DB = 5
const UNDER_VOICE_DB = 8
const MIN_SECONDS = 0.12
const MAX_SECONDS = 1.2
/** Frames of another kind within a breath. */
const BRIDGED_FRAMES = 3
/** Bins that are averaged before the flatness is taken, so that the scatter of noise counts less. */
const SMOOTHED_BINS = 4

/** @param frameSeconds length of the level frames, which the answers are aligned with */
export function createBreathSearch(sampleRateHz: number, frameSeconds: number): BreathSearch {
  const points = 2 ** Math.round(Math.log2(WINDOW_SECONDS * sampleRateHz))
  const hop = Math.round(frameSeconds * sampleRateHz)
  const binHz = sampleRateHz / points
  const fft = createRealFft(points)
  const window = Float64Array.from(
    { length: points },
    (_, n) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (n + 0.5)) / points),
  )
  const framer = createFramer(points, hop)
  const input = new Float64Array(points)
  const re = new Float64Array(points / 2 + 1)
  const im = new Float64Array(points / 2 + 1)
  const power = new Float64Array(points / 2 + 1)
  const windowCorrelation = correlationOfWindow()
  /** 1 for each frame that can belong to a breath. */
  const kinds = new GrowingDoubles()

  function correlationOfWindow(): Float64Array {
    fft.transform(window, re, im)
    for (let k = 0; k < power.length; k++) power[k] = re[k] * re[k] + im[k] * im[k]
    return correlationOf(0, sampleRateHz / 2).slice()
  }

  /** Autocorrelation of the band, from the power spectrum. */
  function correlationOf(fromHz: number, toHz: number): Float64Array {
    for (let k = 0; k < power.length; k++) {
      const value = k * binHz >= fromHz && k * binHz <= toHz ? power[k] : 0
      input[k] = value
      if (k > 0 && k < points / 2) input[points - k] = value
    }
    fft.transform(input, re, im)
    return re
  }

  function takeFrame(frame: Float64Array): void {
    for (let n = 0; n < points; n++) input[n] = frame[n] * window[n]
    fft.transform(input, re, im)
    for (let k = 0; k < power.length; k++) power[k] = re[k] * re[k] + im[k] * im[k]
    kinds.push(isSibilant() || flatnessDb() < LEAST_FLATNESS_DB || pitchedness() > MOST_PITCHED ? 0 : 1)
  }

  const sumOf = (fromHz: number, toHz: number): number => {
    let sum = 0
    for (let k = Math.ceil(fromHz / binHz); k < power.length && k * binHz < toHz; k++) sum += power[k]
    return sum
  }

  const isSibilant = (): boolean => sumOf(SIBILANT_FROM_HZ, Infinity) >= sumOf(FLAT_FROM_HZ, SIBILANT_FROM_HZ)

  function flatnessDb(): number {
    let logs = 0
    let sum = 0
    let groups = 0
    const end = Math.min(FLAT_TO_HZ, 0.45 * sampleRateHz)
    for (let k = Math.ceil(FLAT_FROM_HZ / binHz); k + SMOOTHED_BINS <= end / binHz; k += SMOOTHED_BINS) {
      let group = 0
      for (let i = 0; i < SMOOTHED_BINS; i++) group += power[k + i]
      if (group === 0) return Number.NEGATIVE_INFINITY
      logs += Math.log(group)
      sum += group
      groups++
    }
    return (10 / Math.LN10) * (logs / groups - Math.log(sum / groups))
  }

  function pitchedness(): number {
    const correlation = correlationOf(PITCHED_FROM_HZ, PITCHED_TO_HZ)
    const whole = correlation[0] / windowCorrelation[0]
    if (!(whole > 0)) return 1
    let most = 0
    const last = Math.min(points / 2, Math.round(sampleRateHz / LOWEST_PITCH_HZ))
    for (let lag = Math.round(sampleRateHz / HIGHEST_PITCH_HZ); lag <= last; lag++) {
      most = Math.max(most, correlation[lag] / windowCorrelation[lag] / whole)
    }
    return most
  }

  // The first frame is centred on the first level frame.
  framer.add(new Float64Array(points), Math.round((points - hop) / 2), takeFrame)

  return {
    add(samples, count) {
      framer.add(samples, count, takeFrame)
    },
    breaths: (levels) => breathsIn(kinds.values(), levels),
  }
}

function breathsIn(kinds: Float64Array, levels: BreathLevels): Breath[] {
  const { powers, frameSeconds, floorDbfs, voiceDbfs } = levels
  const low = 10 ** ((floorDbfs + OVER_FLOOR_DB) / 10)
  const high = 10 ** ((voiceDbfs - UNDER_VOICE_DB) / 10)
  const fits = (i: number): boolean => kinds[i] === 1 && powers[i] >= low && powers[i] <= high
  const found: Breath[] = []
  const count = Math.min(kinds.length, powers.length)
  for (let i = 0; i < count; i++) {
    if (!fits(i)) continue
    let end = i + 1
    for (let n = end; n < count && n - end <= BRIDGED_FRAMES; n++) if (fits(n)) end = n + 1
    const seconds = (end - i) * frameSeconds
    if (seconds >= MIN_SECONDS && seconds <= MAX_SECONDS) {
      const sorted = powers.slice(i, end).sort()
      const loud = sorted.subarray(sorted.length >> 1)
      const mean = loud.reduce((sum, power) => sum + power, 0) / loud.length
      found.push({ fromS: i * frameSeconds, toS: end * frameSeconds, levelDbfs: 10 * Math.log10(mean) })
    }
    i = end
  }
  return found
}
