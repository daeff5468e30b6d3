// Noise made in the mouth and not in the throat: fricatives and bursts. It bypasses the vocal tract
// in a parallel branch (Klatt 1980), shaped by its own resonances.
import { gainFromDb } from '../maths/decibels.ts'
import type { Random } from '../maths/random.ts'

/** Which noise a consonant makes. */
export type NoiseKind = 's' | 'sh' | 'z' | 'f' | 'v' | 't' | 'k' | 'p' | 'b' | 'd' | 'g'

/** One stretch of noise. */
interface NoiseEvent {
  readonly kind: NoiseKind
  readonly startSeconds: number
  readonly endSeconds: number
  /** RMS amplitude at its loudest. */
  readonly amplitude: number
  /** Factor on the frequencies of its resonances: the talker's, and lower before rounded vowels. */
  readonly frequencyScale: number
}

/** Frequency in Hz, bandwidth in Hz and amplitude in dB of each resonance. */
export type NoiseResonances = readonly (readonly [
  frequencyHz: number,
  bandwidthHz: number,
  levelDb: number,
])[]

interface NoiseShape {
  readonly resonances: NoiseResonances
  /** RMS at its loudest relative to that of the vowels. */
  readonly levelDb: number
  readonly attackSeconds: number
  readonly releaseSeconds: number
  /** Whether the voice pulses through the noise. */
  readonly isVoiced: boolean
}

/** Long enough for the narrowest resonance to die away at any rate up to 192 kHz. */
const IMPULSE_FRAMES = 4096
/** Resonances are limited to this share of the sample rate. */
const HIGHEST_SHARE = 0.45

const FRICATIVE = { attackSeconds: 0.022, releaseSeconds: 0.03, isVoiced: false } as const
const BURST = { attackSeconds: 0.001, releaseSeconds: 0.012, isVoiced: false } as const

const S_RESONANCES = [
  [6850, 1300, 0],
  [8600, 2000, -7],
  [4900, 1500, -3],
  [11500, 5000, -11],
  [15000, 6000, -11],
] as const
const F_RESONANCES = [
  [1500, 2000, -2],
  [4200, 3500, -2],
  [7700, 2500, 0],
  [11000, 6000, -6],
] as const

// Peaks and levels of /s/, /z/, /sh/, /f/: Jongman, Wayland & Wong (2000), J. Acoust. Soc. Am. 108,
// 1252-1263 (/s z/ peak 6839 Hz, 11 and 9 dB under the vowel; /sh/ 3820 Hz; /f/ 7733 Hz, nearly flat).
// Bursts: labial low and weak, alveolar above 4 kHz, velar near F2 (textbook description, from memory).
const SHAPES: Readonly<Record<NoiseKind, NoiseShape>> = {
  s: { ...FRICATIVE, resonances: S_RESONANCES, levelDb: -11 },
  z: { ...FRICATIVE, resonances: S_RESONANCES, levelDb: -15, isVoiced: true },
  sh: {
    ...FRICATIVE,
    resonances: [
      [3820, 800, 0],
      [5400, 1800, -7],
      [2600, 800, -12],
      [8000, 4000, -16],
    ],
    levelDb: -11,
  },
  f: { ...FRICATIVE, resonances: F_RESONANCES, levelDb: -24 },
  v: { ...FRICATIVE, resonances: F_RESONANCES, levelDb: -28, isVoiced: true },
  t: {
    ...BURST,
    resonances: [
      [4400, 1500, 0],
      [7000, 3500, -1],
      [2600, 1500, -10],
    ],
    levelDb: -9,
  },
  k: {
    ...BURST,
    resonances: [
      [1950, 500, 0],
      [4600, 1800, -10],
    ],
    levelDb: -11,
  },
  p: {
    ...BURST,
    resonances: [
      [800, 900, 0],
      [2400, 3000, -6],
      [6000, 6000, -10],
    ],
    levelDb: -15,
  },
  d: {
    ...BURST,
    resonances: [
      [4200, 1800, 0],
      [2600, 1500, -6],
    ],
    levelDb: -15,
  },
  g: {
    ...BURST,
    resonances: [
      [1900, 500, 0],
      [4400, 1800, -10],
    ],
    levelDb: -16,
  },
  b: {
    ...BURST,
    resonances: [
      [700, 900, 0],
      [2200, 3000, -8],
    ],
    levelDb: -18,
  },
}

/** RMS level at its loudest relative to that of the vowels. */
export function noiseLevelDb(kind: NoiseKind): number {
  return SHAPES[kind].levelDb
}

/**
 * Adds one stretch of noise to the sound.
 * @param openness 0 to 1 per sample, how open the folds are: voiced noise swells with it
 */
export function addNoise(
  out: Float64Array,
  event: NoiseEvent,
  openness: Float32Array,
  sampleRateHz: number,
  random: Random,
): void {
  const shape = SHAPES[event.kind]
  const start = Math.max(0, Math.round(event.startSeconds * sampleRateHz))
  const end = Math.min(out.length, Math.round(event.endSeconds * sampleRateHz))
  if (end <= start) return
  const seconds = event.endSeconds - event.startSeconds
  const attackSeconds = Math.min(shape.attackSeconds, seconds / 3)
  const releaseSeconds = Math.min(shape.releaseSeconds, seconds / 2)
  const noise = shapedNoise(shape.resonances, event.frequencyScale, end - start, sampleRateHz, random)
  for (let n = 0; n < noise.length; n++) {
    const since = n / sampleRateHz
    const rise = since < attackSeconds ? 0.5 - 0.5 * Math.cos((Math.PI * since) / attackSeconds) : 1
    const left = seconds - since
    const fall = left < releaseSeconds ? 0.5 - 0.5 * Math.cos((Math.PI * left) / releaseSeconds) : 1
    const pulse = shape.isVoiced ? 0.4 + 1.4 * openness[start + n] : 1
    out[start + n] += event.amplitude * rise * fall * pulse * noise[n]
  }
}

/** Noise of RMS 1 through parallel band-passes, with alternating signs to avoid cancelling between peaks. */
export function shapedNoise(
  resonances: NoiseResonances,
  frequencyScale: number,
  length: number,
  sampleRateHz: number,
  random: Random,
): Float64Array {
  const impulse = new Float64Array(IMPULSE_FRAMES)
  impulse[0] = 1
  const response = filterInParallel(impulse, resonances, frequencyScale, sampleRateHz)
  let energy = 0
  for (let n = 0; n < IMPULSE_FRAMES; n++) energy += response[n] * response[n]
  // Uniform noise of width 1 has a power of 1/12.
  const scale = Math.sqrt(12 / energy)
  const white = new Float64Array(length)
  for (let n = 0; n < length; n++) white[n] = scale * (random.uniform() - 0.5)
  return filterInParallel(white, resonances, frequencyScale, sampleRateHz)
}

function filterInParallel(
  x: Float64Array,
  resonances: NoiseResonances,
  frequencyScale: number,
  sampleRateHz: number,
): Float64Array {
  const out = new Float64Array(x.length)
  for (const [i, [frequencyHz, bandwidthHz, levelDb]] of resonances.entries()) {
    const centreHz = Math.min(frequencyHz * frequencyScale, HIGHEST_SHARE * sampleRateHz)
    addBandPass(out, x, centreHz, bandwidthHz, gainFromDb(levelDb) * (i % 2 === 0 ? 1 : -1), sampleRateHz)
  }
  return out
}

/** Band-pass of constant peak gain (W3C Audio EQ Cookbook), added with a gain. */
function addBandPass(
  out: Float64Array,
  x: Float64Array,
  frequencyHz: number,
  bandwidthHz: number,
  gain: number,
  sampleRateHz: number,
): void {
  const omega = (2 * Math.PI * frequencyHz) / sampleRateHz
  const alpha = (Math.sin(omega) * bandwidthHz) / (2 * frequencyHz)
  const b = (gain * alpha) / (1 + alpha)
  const a1 = (-2 * Math.cos(omega)) / (1 + alpha)
  const a2 = (1 - alpha) / (1 + alpha)
  let x1 = 0
  let x2 = 0
  let y1 = 0
  let y2 = 0
  for (let n = 0; n < x.length; n++) {
    const y = b * (x[n] - x2) - a1 * y1 - a2 * y2
    x2 = x1
    x1 = x[n]
    y2 = y1
    y1 = y
    out[n] += y
  }
}
