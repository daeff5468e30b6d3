// Sounds in the recording besides the voice: a few early reflections, steady noise, hum.
import { gainFromDb } from '../maths/decibels.ts'
import type { Random } from '../maths/random.ts'
import type { Room } from './performance.ts'

/** Adds each reflection of the sound to itself, in place. Delays are rounded to whole samples. */
export function addReflections(
  samples: Float64Array,
  reflections: Room['reflections'],
  sampleRateHz: number,
): void {
  const taps = reflections.map(({ delayMs, levelDb }) => ({
    frames: Math.max(1, Math.round((delayMs * sampleRateHz) / 1000)),
    gain: gainFromDb(levelDb),
  }))
  // Backwards, so that the samples read have not been written to yet.
  for (let n = samples.length - 1; n >= 0; n--) {
    for (const { frames, gain } of taps) {
      if (n >= frames) samples[n] += gain * samples[n - frames]
    }
  }
}

/** Adds steady noise of the given RMS level, in place: white, with a pink share below about 500 Hz. */
export function addRoomNoise(samples: Float64Array, levelDbfs: number, random: Random): void {
  // One-pole low-passed white noise has a power of (1 - p) / (1 + p); hiss and rumble get equal power.
  const memory = 0.94
  const hissGain = gainFromDb(levelDbfs) * Math.sqrt(0.5)
  const rumbleGain = hissGain * Math.sqrt((1 + memory) / (1 - memory))
  let rumble = 0
  for (let n = 0; n < samples.length; n++) {
    rumble = memory * rumble + (1 - memory) * random.normal()
    samples[n] += hissGain * random.normal() + rumbleGain * rumble
  }
}

/** Mains hum: the mains frequency and its multiples, as a cable or a ground loop induces them in a line. */
export interface Hum {
  readonly mainsHz: number
  /** RMS level of each harmonic, from the first up. */
  readonly levelsDbfs: readonly number[]
}

/** Adds steady hum, in place. */
export function addHum(samples: Float64Array, { mainsHz, levelsDbfs }: Hum, sampleRateHz: number): void {
  for (const [i, levelDbfs] of levelsDbfs.entries()) {
    const peak = Math.SQRT2 * gainFromDb(levelDbfs)
    const step = (2 * Math.PI * (i + 1) * mainsHz) / sampleRateHz
    for (let n = 0; n < samples.length; n++) samples[n] += peak * Math.sin(step * n)
  }
}
