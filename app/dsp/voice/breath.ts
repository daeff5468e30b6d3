// The singer breathing in, and the pop of a /p/: sounds of moving air that the tongue does not shape.
import type { Random } from '../maths/random.ts'
import { type NoiseResonances, shapedNoise } from './frication.ts'

/** An open, neutral tract heard from outside: more low than high (about 1/f between its peaks). */
const BREATH_RESONANCES: NoiseResonances = [
  [550, 500, 0],
  [1550, 500, -3],
  [2700, 700, -8],
  [4100, 1200, -13],
  [6500, 4000, -20],
]

/** Adds one breath of the given RMS amplitude at its loudest; it fades out faster than it fades in. */
export function addBreath(
  out: Float64Array,
  startSeconds: number,
  endSeconds: number,
  amplitude: number,
  frequencyScale: number,
  sampleRateHz: number,
  random: Random,
): void {
  const start = Math.max(0, Math.round(startSeconds * sampleRateHz))
  const end = Math.min(out.length, Math.round(endSeconds * sampleRateHz))
  if (end <= start) return
  const noise = shapedNoise(BREATH_RESONANCES, frequencyScale, end - start, sampleRateHz, random)
  for (let n = 0; n < noise.length; n++) {
    const share = n / noise.length
    const swell =
      share < 0.6
        ? 0.5 - 0.5 * Math.cos((Math.PI * share) / 0.6)
        : 0.5 + 0.5 * Math.cos((Math.PI * (share - 0.6)) / 0.4)
    out[start + n] += amplitude * swell * noise[n]
  }
}

const POP_HZ = 55
const POP_SECONDS = 0.06

/**
 * Adds the thump of a /p/'s breath on the microphone: 60 ms at 55 Hz with the given peak. It is an odd
 * function around its centre, so that it carries no DC.
 */
export function addPop(out: Float64Array, centreSeconds: number, peak: number, sampleRateHz: number): void {
  const start = Math.max(0, Math.ceil((centreSeconds - POP_SECONDS / 2) * sampleRateHz))
  const end = Math.min(out.length, Math.floor((centreSeconds + POP_SECONDS / 2) * sampleRateHz))
  for (let n = start; n < end; n++) {
    const t = n / sampleRateHz - centreSeconds
    const window = 0.5 + 0.5 * Math.cos((2 * Math.PI * t) / POP_SECONDS)
    out[n] += peak * window * Math.sin(2 * Math.PI * POP_HZ * t)
  }
}
