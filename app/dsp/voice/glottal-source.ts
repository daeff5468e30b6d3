// The sound of the vocal folds alone: the derivative of a pulse of airflow per period
// (Rosenberg 1971, J. Acoust. Soc. Am. 49, 583-590, shape C), drawn at four times the rate.
import { kaiserLowPass } from '../filters/kaiser-low-pass.ts'
import type { Random } from '../maths/random.ts'
import { BLOCK_FRAMES } from '../stage.ts'
import { CONTROL_SECONDS } from './control-track.ts'

/** Share of the period in which the folds open, and then close. */
const OPENING = 0.4
const CLOSING = 0.16
/** Slope of the flow just before closure, per period. */
const CLOSURE_SLOPE = -Math.PI / (2 * CLOSING)
/** Makes the RMS of a steady voice 1. */
const SOURCE_GAIN = 1 / Math.sqrt((OPENING * (Math.PI / 2 / OPENING) ** 2 + CLOSING * CLOSURE_SLOPE ** 2) / 2)
/** Oversampling of the pulses before they are decimated, so that their sharp closure does not alias. */
const OVERSAMPLING = 4
/** Decimator taps on either side of its centre, in oversampled samples; a multiple of OVERSAMPLING. */
const HALF_TAPS = 64
const STOP_BAND_DB = 85

/** How uneven the periods are. */
interface Unevenness {
  readonly jitterPercent: number
  readonly shimmerPercent: number
}

/** The excitation of a voice at the sample rate. */
export interface GlottalSource {
  /** Derivative of the flow; RMS about 1, sharp negative peak at each closure (positive polarity). */
  readonly pulses: Float64Array
  /** Flow, 0 closed to 1 widest: breath noise swells with it. */
  readonly openness: Float32Array
}

/**
 * Continuous pulses at the F0 of the track; the caller fades them in and out.
 * @param f0Hz one value per control frame, covering `frames`
 */
export function renderGlottalSource(
  f0Hz: Float64Array,
  { jitterPercent, shimmerPercent }: Unevenness,
  sampleRateHz: number,
  frames: number,
  random: Random,
): GlottalSource {
  const pulses = new Float64Array(frames)
  const openness = new Float32Array(frames)
  // The filter is symmetric, so the centre tap and those after it are enough.
  const taps = kaiserLowPass(2 * HALF_TAPS + 1, 0.5 / OVERSAMPLING, STOP_BAND_DB).slice(HALF_TAPS)
  const fineRateHz = sampleRateHz * OVERSAMPLING
  const lead = HALF_TAPS / OVERSAMPLING
  // Oversampled samples of one block, with the decimator's reach before and after it.
  const fine = new Float64Array((BLOCK_FRAMES + 2 * lead) * OVERSAMPLING)
  const kept = 2 * lead * OVERSAMPLING
  const lastControl = f0Hz.length - 2
  const closure = OPENING + CLOSING
  let phase = 0
  let periodFactor = 1
  let amplitude = SOURCE_GAIN
  let filled = HALF_TAPS
  let time = 0
  for (let start = 0; start < frames; start += BLOCK_FRAMES) {
    const count = Math.min(BLOCK_FRAMES, frames - start)
    const end = HALF_TAPS + (count + lead) * OVERSAMPLING
    for (; filled < end; filled++, time++) {
      const seconds = time / fineRateHz
      const control = seconds / CONTROL_SECONDS
      const frame = Math.min(lastControl, Math.floor(control))
      const pitchHz = f0Hz[frame] + (f0Hz[frame + 1] - f0Hz[frame]) * Math.min(1, control - frame)
      const step = (pitchHz * periodFactor) / fineRateHz
      if (time % OVERSAMPLING === 0 && time < frames * OVERSAMPLING) {
        openness[time / OVERSAMPLING] = flow(phase)
      }
      let slope =
        phase < OPENING
          ? ((0.5 * Math.PI) / OPENING) * Math.sin((Math.PI / OPENING) * phase)
          : phase < closure
            ? CLOSURE_SLOPE * Math.sin((Math.PI / (2 * CLOSING)) * (phase - OPENING))
            : 0
      // The jump at closure, smoothed over two oversampled samples (polynomial band-limited step, Välimäki &
      // Huovilainen 2007), so that the aliasing that the decimator cannot remove is small as well.
      const past = (phase - closure) / step
      if (past >= 0 && past < 1) slope += CLOSURE_SLOPE * 0.5 * (1 - past) ** 2
      else if (past < 0 && past > -1) slope -= CLOSURE_SLOPE * 0.5 * (1 + past) ** 2
      fine[filled] = slope * amplitude
      phase += step
      if (phase >= 1) {
        phase -= 1
        periodFactor = 1 / Math.max(0.5, 1 + (jitterPercent / 100) * random.normal())
        amplitude = SOURCE_GAIN * Math.max(0.2, 1 + (shimmerPercent / 100) * random.normal())
      }
    }
    decimate(fine, taps, pulses, start, count)
    fine.copyWithin(0, count * OVERSAMPLING, count * OVERSAMPLING + kept)
    filled -= count * OVERSAMPLING
  }
  return { pulses, openness }
}

function flow(phase: number): number {
  if (phase < OPENING) return 0.5 - 0.5 * Math.cos((Math.PI / OPENING) * phase)
  if (phase < OPENING + CLOSING) return Math.cos((Math.PI / (2 * CLOSING)) * (phase - OPENING))
  return 0
}

function decimate(
  fine: Float64Array,
  taps: Float64Array,
  out: Float64Array,
  start: number,
  count: number,
): void {
  for (let n = 0; n < count; n++) {
    const centre = HALF_TAPS + n * OVERSAMPLING
    let even = taps[0] * fine[centre]
    let odd = 0
    for (let i = 1; i < HALF_TAPS; i += 2) {
      even += taps[i] * (fine[centre - i] + fine[centre + i])
      odd += taps[i + 1] * (fine[centre - i - 1] + fine[centre + i + 1])
    }
    out[start + n] = even + odd
  }
}
