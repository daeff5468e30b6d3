// Mends a plosive pop: subtracts what lies below the voice, in the event alone. The low-pass has no phase
// shift, so that the voice above it stays as it is.

import { createPitchFinder } from '../analysis/pitch/pitch-finder.ts'
import { kaiserLowPass } from '../filters/kaiser-low-pass.ts'
import { dbFromPower } from '../maths/decibels.ts'
import type { Mending, Patch } from './patch.ts'

/** Longest reach of the low-pass on each side. */
const HALF_FILTER_SECONDS = 0.025
const STOP_BAND_DB = 51
const HIGHEST_HZ = 110
/** The low-pass ends this far below the fundamental. */
const UNDER_PITCH = 0.8
/** A voice lower than this leaves no room for a pop under it. */
const LOWEST_PITCH_HZ = 70
/** Room on both sides of the event, in which the low-pass fades in and out. */
const FADE_SECONDS = 0.02
/** The detector's span begins and ends within the pop. */
const ROOM_SECONDS = 0.01
const PITCH_AROUND_SECONDS = 0.4
/** Less is not worth a change. */
const LEAST_FALL_DB = 3
const PITCH_BLOCK = 4096

/** @param event as the detector found it */
export function popPatch(
  event: { readonly fromS: number; readonly toS: number },
  sampleRateHz: number,
): Patch {
  const room = FADE_SECONDS + ROOM_SECONDS
  const fromFrame = Math.round((event.fromS - room) * sampleRateHz)
  const toFrame = Math.round((event.toS + room) * sampleRateHz)
  const reach = Math.ceil(PITCH_AROUND_SECONDS * sampleRateHz)
  return {
    kind: 'pops',
    fromFrame,
    toFrame,
    reach,
    mend(samples) {
      const pitchHz = lowestPitchAround(samples, reach, toFrame - fromFrame, sampleRateHz)
      if (pitchHz !== null && pitchHz < LOWEST_PITCH_HZ) return { outcome: 'refused', why: 'voice-too-low' }
      const cutoffHz = Math.min(HIGHEST_HZ, UNDER_PITCH * (pitchHz ?? Infinity))
      return mendPop(samples, reach, fromFrame, toFrame, cutoffHz, sampleRateHz)
    },
  }
}

function mendPop(
  samples: Float64Array,
  reach: number,
  fromFrame: number,
  toFrame: number,
  cutoffHz: number,
  sampleRateHz: number,
): Mending {
  const count = toFrame - fromFrame
  const low = lowPassed(samples, reach, count, cutoffHz, sampleRateHz)
  const fade = Math.round(FADE_SECONDS * sampleRateHz)
  const mended = new Float64Array(count)
  for (let n = 0; n < count; n++) {
    const edge = Math.min(1, (n + 1) / (fade + 1), (count - n) / (fade + 1))
    const weight = 0.5 - 0.5 * Math.cos(Math.PI * edge)
    mended[n] = samples[reach + n] - weight * low[n]
  }
  const rest = samples.slice()
  rest.set(mended, reach)
  const left = lowPassed(rest, reach, count, cutoffHz, sampleRateHz)
  const fallDb = dbFromPower(powerOf(low) / Math.max(powerOf(left), Number.MIN_VALUE))
  if (!(fallDb >= LEAST_FALL_DB)) return { outcome: 'refused', why: 'pop-unchanged' }
  return { outcome: 'mended', spans: [{ from: fromFrame, samples: mended }], amount: fallDb }
}

/** `count` samples from index `from` on, below `cutoffHz`. */
function lowPassed(
  samples: Float64Array,
  from: number,
  count: number,
  cutoffHz: number,
  sampleRateHz: number,
): Float64Array {
  const half = Math.round(HALF_FILTER_SECONDS * sampleRateHz)
  const taps = kaiserLowPass(2 * half + 1, cutoffHz / sampleRateHz, STOP_BAND_DB)
  const out = new Float64Array(count)
  for (let n = 0; n < count; n++) {
    const at = from + n - half
    let sum = 0
    for (let k = 0; k < taps.length; k++) sum += taps[k] * samples[at + k]
    out[n] = sum
  }
  return out
}

/** Lowest pitch before and behind the event in Hz; null where no voice is there. */
function lowestPitchAround(
  samples: Float64Array,
  reach: number,
  count: number,
  sampleRateHz: number,
): number | null {
  const finder = createPitchFinder(sampleRateHz)
  const block = new Float64Array(PITCH_BLOCK)
  for (let at = 0; at < samples.length; at += PITCH_BLOCK) {
    const length = Math.min(PITCH_BLOCK, samples.length - at)
    block.set(samples.subarray(at, at + length))
    finder.add(block, length)
  }
  const { seconds, hz } = finder.track()
  const pitches = hz.filter((_, i) => {
    const frame = seconds[i] * sampleRateHz
    return frame < reach || frame > reach + count
  })
  if (pitches.length === 0) return null
  // One frame in ten may be an octave low.
  return pitches.sort()[Math.floor(pitches.length / 10)]
}

const powerOf = (samples: Float64Array): number => samples.reduce((sum, sample) => sum + sample * sample, 0)
