// Plosive pops: the breath of a /p/ or /b/ on the capsule. The lowest octaves jump up
// while the voice above them does not, and fall again within a tenth of a second or so.

import { dbFromPower } from '../maths/decibels.ts'
import { GrowingDoubles } from '../maths/growing-doubles.ts'
import { median } from '../maths/median.ts'
import type { Span } from '../maths/span.ts'

interface PopSearch {
  /** Takes `count` samples of the take at a rate near 3 kHz, any number, from index `from` on. */
  add(samples: Float64Array, from: number, count: number): void
  /** @param sounding where the voice sounds, from the beginning of the take */
  pops(sounding: readonly Span[]): readonly (Span & { readonly riseDb: number })[]
  /**
   * Usual power below 80 Hz that comes and goes with the sound, over that of the voice from 150 Hz to 1 kHz.
   * Pops are too short to move it, and rumble lies under the pauses as well. null: silence, or none of it.
   */
  lowAgainstVoiceDb(sounding: readonly Span[]): number | null
}

const FRAME_SECONDS = 0.01
const LOW_FROM_HZ = 20
/**
 * The band up to here is two octaves wide and below most voices; it falls by 24 dB per octave
 * above, which keeps out a low voice's fundamental.
 */
const LOW_TO_HZ = 80
const VOICE_FROM_HZ = 150
const VOICE_TO_HZ = 1000
/** Least rise in the 20 ms before the peak of a pop. */
const MIN_RISE_DB = 12
/** Least peak over the median level of the low band while the voice sounds. */
const ABOVE_USUAL_DB = 8
/** Least peak over the voice at the same moment, which a pop drowns out. */
const ABOVE_VOICE_DB = 3
/** Least peak over the low band in the tenth of a second before its rise, when the lips are closed. */
const ABOVE_BEFORE_DB = 8
const BEFORE_SECONDS = 0.12
/** A pop ends when it has fallen by this much. */
const FALL_DB = 6
/** How much more the low band has to rise than the voice. */
const MIN_LEAD_DB = 6
const MAX_SECONDS = 0.2
const MIN_SECONDS = 0.04
/** A pop weaker than the voice's mean power by more than this is inaudible. */
const INAUDIBLE_BELOW_VOICE_DB = 9
/** Steady rumble may be this much stronger under the voice than in the pauses by chance (3 dB). */
const RUMBLE_SCATTER = 2

/** @param delaySeconds delay of the samples */
export function createPopSearch(rateHz: number, delaySeconds: number): PopSearch {
  const frameSamples = Math.round(FRAME_SECONDS * rateHz)
  const low = new GrowingDoubles()
  const voice = new GrowingDoubles()
  const rumble = section('high', LOW_FROM_HZ, rateHz)
  const under = section('low', LOW_TO_HZ, rateHz)
  const underAgain = section('low', LOW_TO_HZ, rateHz)
  const over = section('high', VOICE_FROM_HZ, rateHz)
  const overAgain = section('high', VOICE_FROM_HZ, rateHz)
  const top = section('low', Math.min(VOICE_TO_HZ, 0.42 * rateHz), rateHz)
  let lowSum = 0
  let voiceSum = 0
  let left = frameSamples

  return {
    add(samples, from, count) {
      for (let n = from; n < from + count; n++) {
        const x = samples[n]
        const l = run(underAgain, run(under, run(rumble, x)))
        const v = run(top, run(overAgain, run(over, x)))
        lowSum += l * l
        voiceSum += v * v
        if (--left > 0) continue
        low.push(lowSum / frameSamples)
        voice.push(voiceSum / frameSamples)
        lowSum = 0
        voiceSum = 0
        left = frameSamples
      }
    },
    lowAgainstVoiceDb(sounding) {
      const lows = low.values()
      const voices = voice.values()
      const inside = framesInside(sounding, frameSamples / rateHz, delaySeconds, lows.length)
      if (inside.length === 0) return null
      const isInside = new Uint8Array(lows.length)
      for (const i of inside) isInside[i] = 1
      const lowOutside = [...lows.filter((_, i) => isInside[i] === 0)]
      const lowInside = median(inside.map((i) => lows[i]))
      const rumble = lowOutside.length === 0 ? 0 : RUMBLE_SCATTER * median(lowOutside)
      const voiceInside = inside.reduce((sum, i) => sum + voices[i], 0) / inside.length
      return lowInside > rumble && voiceInside > 0 ? dbFromPower((lowInside - rumble) / voiceInside) : null
    },
    pops(sounding) {
      const step = frameSamples / rateHz
      const lows = inDb(low.values())
      const voicePowers = voice.values()
      const voices = inDb(voicePowers)
      const inside = framesInside(sounding, step, delaySeconds, lows.length)
      if (inside.length === 0) return []
      const usualLow = median(inside.map((i) => lows[i]))
      // Quiet stretches within a phrase would pull a median down.
      const usualVoice = dbFromPower(inside.reduce((sum, i) => sum + voicePowers[i], 0) / inside.length)
      const found: (Span & { riseDb: number })[] = []
      const behind = Math.round(MAX_SECONDS / step)
      const before = Math.round(BEFORE_SECONDS / step)
      for (let i = 3; i < lows.length; i++) {
        const height = lows[i]
        if (height < usualLow + ABOVE_USUAL_DB || height < usualVoice - INAUDIBLE_BELOW_VOICE_DB) continue
        if (height < voices[i] + ABOVE_VOICE_DB) continue
        if (lows[i - 1] > height || (lows[i + 1] ?? -Infinity) > height) continue
        // The rise starts at the quietest of the 30 ms before (20 ms and the frame in which it begins).
        const base = Math.min(lows[i - 1], lows[i - 2], lows[i - 3])
        const baseAt = lows[i - 3] === base ? i - 3 : lows[i - 2] === base ? i - 2 : i - 1
        const rise = height - base
        if (greatest(lows, i - before, i - 2) > height - ABOVE_BEFORE_DB) continue
        const voiceRise = Math.max(voices[i], voices[i - 1]) - voices[baseAt]
        if (rise < MIN_RISE_DB || voiceRise > rise - MIN_LEAD_DB) continue
        let end = i + 1
        while (end < lows.length && end - i <= behind && lows[end] > height - FALL_DB) end++
        const seconds = (end - baseAt) * step
        if (seconds < MIN_SECONDS || end - i > behind) continue
        const fromS = Math.max(0, baseAt * step - delaySeconds)
        found.push({ fromS, toS: end * step - delaySeconds, riseDb: rise })
        i = end
      }
      return found
    },
  }
}

interface Section {
  readonly b0: number
  readonly b1: number
  readonly a1: number
  readonly a2: number
  s1: number
  s2: number
}

/** Second-order Butterworth section by the bilinear transform. */
function section(kind: 'low' | 'high', frequencyHz: number, rateHz: number): Section {
  const k = Math.tan((Math.PI * frequencyHz) / rateHz)
  const a0 = 1 + Math.SQRT2 * k + k * k
  const b0 = (kind === 'low' ? k * k : 1) / a0
  const a1 = (2 * (k * k - 1)) / a0
  const a2 = (1 - Math.SQRT2 * k + k * k) / a0
  return { b0, b1: kind === 'low' ? 2 * b0 : -2 * b0, a1, a2, s1: 0, s2: 0 }
}

function run(filter: Section, x: number): number {
  const v = filter.b0 * x
  const y = v + filter.s1
  filter.s1 = filter.b1 * x + filter.s2 - filter.a1 * y
  filter.s2 = v - filter.a2 * y
  return y
}

function greatest(values: Float64Array, from: number, to: number): number {
  let most = -Infinity
  for (let i = Math.max(0, from); i < to; i++) most = Math.max(most, values[i])
  return most
}

function inDb(powers: Float64Array): Float64Array {
  return powers.map((power) => 10 * Math.log10(power + 1e-12))
}

function framesInside(spans: readonly Span[], step: number, delay: number, length: number): number[] {
  const frames: number[] = []
  for (const { fromS, toS } of spans) {
    const end = Math.min(length, Math.floor((toS + delay) / step))
    for (let i = Math.ceil((fromS + delay) / step); i < end; i++) frames.push(i)
  }
  return frames
}
