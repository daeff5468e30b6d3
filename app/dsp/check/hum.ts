// Finds mains hum: a family of harmonics of one frequency near 50 or 60 Hz, searched
// only in the pauses, because a voice at 100 or 120 Hz looks just like it. The pauses within
// one long window are analysed together, as mains hum continues through the phrases.
// A family off 50 and 60 Hz by the ratio of two sample rates means that the stated rate is wrong.

import { dbFromPower } from '../maths/decibels.ts'
import { createRealFft } from '../maths/fft.ts'

interface HumHarmonic {
  readonly harmonic: number
  readonly frequencyHz: number
  /** RMS level of this harmonic alone. */
  readonly levelDbfs: number
  readonly prominenceDb: number
}

/** Wide surroundings, beyond the side lobes that short pauses give a line. */
type ClearanceOf = (frequencyHz: number) => number

/** Mains hum that was found. */
export interface HumFamily {
  /** The mains frequency that the family comes from. */
  readonly mainsHz: 50 | 60
  readonly fundamentalHz: number
  readonly harmonics: readonly HumHarmonic[]
  readonly levelDbfs: number
  /** Ratio of true to stated sample rate that explains the family's frequency; 1 at the mains frequency. */
  readonly rateRatio: number
}

interface HumSearch {
  add(samples: Float64Array, from: number, count: number): void
  /** @param isPause 1 for each 10 ms frame of the take in a pause @param frameSeconds length of a frame */
  family(isPause: Uint8Array, frameSeconds: number): HumFamily | null
  /** As `family`, for lines that are close to the mains frequency but outside its tolerance. */
  familyOffMains(isPause: Uint8Array, frameSeconds: number): HumFamily | null
  /** Total length of the pauses in seconds. */
  pauseSeconds(isPause: Uint8Array, frameSeconds: number): number
}

/** The mains frequency stays within 0.2 Hz of its nominal value. */
export const MAINS_TOLERANCE = 0.2 / 50
/** Lines this close to the mains frequency are told apart from it in words. */
const NEAR_MAINS = 1 / 50
const HARMONICS = 16
/** Three harmonics of a family at 10 dB, or fewer at the mains frequency itself when they are much clearer. */
const MIN_HARMONICS = 3
const MIN_CLEAR_PROMINENCE_DB = 20
/** The fundamental alone, or with one more line, is reported above this (common practice). */
const MIN_CLEAR_DBFS = -75
const MIN_PROMINENCE_DB = 10
const AGREEMENT = 0.001
/** A line must stand out from 5 Hz on either side, or more if short pauses smear it. */
const AROUND_HZ = 5
const MAX_AROUND_HZ = 20
/** Spectral smear caused by a pause: this divided by the length of the pause, in Hz. */
const SMEAR = 3
const WINDOW_SECONDS = 10
/** Shorter pauses do not tell hum from noise. */
export const MIN_PAUSE_SECONDS = 1
/** Hum is steady, so only the first half hour is kept. */
const KEPT_SECONDS = 1800
/** Pauses are faded in and out to reduce spectral leakage. */
const FADE_SECONDS = 0.02
/** Ratios of common rates that get mixed up. */
const RATE_RATIOS = [1, 48000 / 44100, 44100 / 48000, 2, 0.5] as const

/** @param delaySeconds delay of the samples against the frames of the pauses */
export function createHumSearch(rateHz: number, delaySeconds: number): HumSearch {
  const points = 2 ** Math.round(Math.log2(WINDOW_SECONDS * rateHz))
  const keptSamples = Math.round(KEPT_SECONDS * rateHz)
  let kept = new Float32Array(1 << 16)
  let length = 0

  function pauseSeconds(isPause: Uint8Array, frameSeconds: number): number {
    return isPause.reduce((sum, is) => sum + is, 0) * frameSeconds
  }

  /** Mean power spectrum of the pauses, and what a sine of mean square 1 would reach in it. */
  function spectrum(isPause: Uint8Array, frameSeconds: number): { power: Float64Array; sine: number } | null {
    const gain = pauseGain(isPause, frameSeconds, length, rateHz, delaySeconds)
    const fft = createRealFft(points)
    const re = new Float64Array(points / 2 + 1)
    const im = new Float64Array(points / 2 + 1)
    const power = new Float64Array(points / 2 + 1)
    const frame = new Float64Array(points)
    let sine = 0
    for (let start = 0; start < length; start += points) {
      // No window besides the fades of the pauses, so that all pauses have the same weight.
      let window = 0
      for (let n = 0; n < points; n++) {
        const at = start + n
        const weight = at < length ? gain[at] : 0
        window += weight
        frame[n] = weight === 0 ? 0 : weight * kept[at]
      }
      if (window === 0) continue
      fft.transform(frame, re, im)
      for (let k = 0; k <= points / 2; k++) power[k] += re[k] * re[k] + im[k] * im[k]
      sine += (window * window) / 2
    }
    return sine > 0 ? { power, sine } : null
  }

  /** Looks for a family near a mains frequency; null where the pauses are too short to tell. */
  function searchIn(isPause: Uint8Array, frameSeconds: number) {
    if (pauseSeconds(isPause, frameSeconds) < MIN_PAUSE_SECONDS) return null
    const seen = spectrum(isPause, frameSeconds)
    if (seen === null) return null
    const aroundHz = Math.min(MAX_AROUND_HZ, Math.max(AROUND_HZ, SMEAR / usualPause(isPause, frameSeconds)))
    const binHz = rateHz / points
    const lines = findLines(seen.power, seen.sine, binHz, aroundHz)
    const clearance: ClearanceOf = (frequencyHz) =>
      standsOutDb(seen.power, Math.round(frequencyHz / binHz), Math.round(MAX_AROUND_HZ / binHz))
    return (mainsHz: 50 | 60, rateRatio: number, tolerance: number): HumFamily | null =>
      familyNear(lines, mainsHz, rateRatio, tolerance, clearance)
  }

  return {
    add(samples, from, count) {
      const take = Math.min(count, keptSamples - length)
      if (length + take > kept.length) {
        const grown = new Float32Array(2 * kept.length)
        grown.set(kept)
        kept = grown
      }
      for (let i = 0; i < take; i++) kept[length + i] = samples[from + i]
      length += take
    },
    pauseSeconds,
    family(isPause, frameSeconds) {
      const search = searchIn(isPause, frameSeconds)
      if (search === null) return null
      let best: HumFamily | null = null
      for (const rateRatio of RATE_RATIOS) {
        for (const mainsHz of [50, 60] as const) {
          const family = search(mainsHz, rateRatio, MAINS_TOLERANCE)
          // A family off the mains frequency must explain clearly more lines than one at it.
          const margin = best !== null && best.rateRatio === 1 ? 2 : 0
          if (family !== null && family.harmonics.length > (best?.harmonics.length ?? 0) + margin)
            best = family
        }
      }
      return best
    },
    familyOffMains(isPause, frameSeconds) {
      const search = searchIn(isPause, frameSeconds)
      return search && (search(50, 1, NEAR_MAINS) ?? search(60, 1, NEAR_MAINS))
    },
  }
}

interface Line {
  readonly frequencyHz: number
  readonly levelDbfs: number
  readonly prominenceDb: number
}

/** Mean over all pause frames of the length of the pause they are in, in seconds. */
function usualPause(isPause: Uint8Array, frameSeconds: number): number {
  let squares = 0
  let frames = 0
  let run = 0
  for (let i = 0; i <= isPause.length; i++) {
    if (isPause[i] === 1) run++
    else {
      squares += run * run
      frames += run
      run = 0
    }
  }
  return (squares / frames) * frameSeconds
}

/** Spectral maxima that stand out from the median of their surroundings. */
function findLines(power: Float64Array, sine: number, binHz: number, aroundHz: number): Line[] {
  const reach = Math.round(aroundHz / binHz)
  const around = new Float64Array(2 * reach + 1)
  const lines: Line[] = []
  for (let k = Math.ceil(20 / binHz); k + reach + 1 < power.length; k++) {
    if (power[k] <= power[k - 1] || power[k] < power[k + 1] || k < reach) continue
    for (let i = 0; i < around.length; i++) around[i] = power[k - reach + i]
    around.sort()
    const prominenceDb = dbFromPower(power[k] / around[reach])
    if (!(prominenceDb >= MIN_PROMINENCE_DB)) continue
    // The top of a lobe is nearly a parabola in dB.
    const left = dbFromPower(power[k - 1])
    const middle = dbFromPower(power[k])
    const right = dbFromPower(power[k + 1])
    const shift = (0.5 * (left - right)) / (left - 2 * middle + right)
    lines.push({
      frequencyHz: (k + (Number.isFinite(shift) ? shift : 0)) * binHz,
      levelDbfs: dbFromPower(power[k] / sine),
      prominenceDb,
    })
  }
  return lines
}

function familyNear(
  lines: readonly Line[],
  mainsHz: 50 | 60,
  rateRatio: number,
  tolerance: number,
  clearance: ClearanceOf,
): HumFamily | null {
  const aimHz = mainsHz / rateRatio
  const candidates: HumHarmonic[] = []
  for (let harmonic = 1; harmonic <= HARMONICS; harmonic++) {
    const near = lines
      .filter(({ frequencyHz }) => Math.abs(frequencyHz / harmonic - aimHz) <= tolerance * aimHz)
      .sort((a, b) => b.levelDbfs - a.levelDbfs)
    if (near.length > 0) candidates.push({ harmonic, ...near[0] })
  }
  // Any candidate may be the reference; higher harmonics come first, as they give a finer fundamental.
  let best: HumHarmonic[] = []
  let fundamentalHz = 0
  for (const { harmonic, frequencyHz } of [...candidates].reverse()) {
    const ownHz = frequencyHz / harmonic
    const agreeing = candidates.filter(
      (one) => Math.abs(one.frequencyHz / one.harmonic / ownHz - 1) <= AGREEMENT,
    )
    if (agreeing.length <= best.length) continue
    best = agreeing
    fundamentalHz = ownHz
  }
  if (best.length < MIN_HARMONICS)
    return rateRatio === 1 ? fundamentalOf(candidates, mainsHz, clearance) : null
  // Three lines off the mains are often multiples of another fundamental, so a low harmonic must be present.
  if (!best.some(({ harmonic }) => harmonic <= 3)) return null
  const levelDbfs = dbFromPower(best.reduce((sum, one) => sum + 10 ** (one.levelDbfs / 10), 0))
  return { mainsHz, fundamentalHz, harmonics: best, levelDbfs, rateRatio }
}

/** A bin's power over the median of those up to `reach` bins away, in dB. */
function standsOutDb(power: Float64Array, bin: number, reach: number): number {
  const around = power.slice(Math.max(0, bin - reach), bin + reach + 1).sort()
  return dbFromPower(power[bin] / around[around.length >> 1])
}

/** Hum of the fundamental alone or with few harmonics, if the fundamental is a clear line. */
function fundamentalOf(
  candidates: readonly HumHarmonic[],
  mainsHz: 50 | 60,
  clearance: ClearanceOf,
): HumFamily | null {
  const first = candidates.find(({ harmonic }) => harmonic === 1)
  if (first === undefined) return null
  if (first.levelDbfs < MIN_CLEAR_DBFS || clearance(first.frequencyHz) < MIN_CLEAR_PROMINENCE_DB) return null
  const fundamentalHz = first.frequencyHz
  const harmonics = candidates.filter(
    (one) => Math.abs(one.frequencyHz / one.harmonic / fundamentalHz - 1) <= AGREEMENT,
  )
  const levelDbfs = dbFromPower(harmonics.reduce((sum, one) => sum + 10 ** (one.levelDbfs / 10), 0))
  return { mainsHz, fundamentalHz, harmonics, levelDbfs, rateRatio: 1 }
}

/** Gain per sample of the low rate: 1 in pauses, 0 outside, with short fades inside the pauses. */
function pauseGain(
  isPause: Uint8Array,
  frameSeconds: number,
  length: number,
  rateHz: number,
  delaySeconds: number,
): Float32Array {
  const gain = new Float32Array(length)
  const fade = Math.round(FADE_SECONDS * rateHz)
  for (let i = 0; i < isPause.length; ) {
    if (isPause[i] === 0) {
      i++
      continue
    }
    let end = i
    while (end < isPause.length && isPause[end] === 1) end++
    const first = Math.ceil((i * frameSeconds + delaySeconds) * rateHz)
    const last = Math.min(length, Math.floor((end * frameSeconds + delaySeconds) * rateHz))
    for (let n = first; n < last; n++) {
      const edge = Math.min(1, (n - first + 0.5) / fade, (last - n - 0.5) / fade)
      gain[n] = 0.5 - 0.5 * Math.cos(Math.PI * edge)
    }
    i = end
  }
  return gain
}
