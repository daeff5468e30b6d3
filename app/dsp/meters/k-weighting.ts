// K-weighting of ITU-R BS.1770-5 Annex 1 at any sample rate, and the weighted
// energy from which all loudness figures are computed. The Recommendation prints
// coefficients for 48 kHz only and asks for the same frequency response elsewhere.

import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { clearRow, copyIn, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'

/** Second-order section with a0 = 1: y = b0 x + b1 x1 + b2 x2 - a1 y1 - a2 y2. */
export interface BiquadCoefficients {
  readonly b0: number
  readonly b1: number
  readonly b2: number
  readonly a1: number
  readonly a2: number
}

interface KWeightingCoefficients {
  /** Stage 1: the shelf that models the head. */
  readonly shelf: BiquadCoefficients
  /** Stage 2: the high-pass (RLB curve). */
  readonly highPass: BiquadCoefficients
}

// Analogue prototype whose bilinear transform gives Tables 1 and 2 of the
// Recommendation at 48 kHz to 1e-15 (in wide use in open-source loudness code).
const SHELF_HZ = 1681.974450955533
const SHELF_GAIN_DB = 3.999843853973347
const SHELF_Q = 0.7071752369554196
const SHELF_BAND_EXPONENT = 0.4996667741545416
const HIGH_PASS_HZ = 38.13547087602444
const HIGH_PASS_Q = 0.5003270373238773

const LOWEST_RATE_HZ = 4000
// Below this the state is inaudible by hundreds of dB and would become denormal.
const NEGLIGIBLE = 1e-30
/** Doubles of state of two channels. */
const STATE_LENGTH = 8

/**
 * Both stages at `sampleRateHz`. Stage 2 is scaled so that its pass-band gain is that
 * of the printed 48 kHz table (b = 1, -2, 1 there): leaving b unscaled, as is often
 * done, reads 0.03 dB low at 192 kHz and 0.2 dB high at 8 kHz.
 * @throws RangeError below 4 kHz, where the shelf is too close to half the sample rate
 */
export function kWeightingCoefficients(sampleRateHz: number): KWeightingCoefficients {
  if (!(sampleRateHz >= LOWEST_RATE_HZ && sampleRateHz < Infinity)) {
    throw new RangeError(
      `K-weighting needs a sample rate of ${LOWEST_RATE_HZ} Hz or more, not ${sampleRateHz}`,
    )
  }
  const k = Math.tan((Math.PI * SHELF_HZ) / sampleRateHz)
  const high = 10 ** (SHELF_GAIN_DB / 20)
  const band = high ** SHELF_BAND_EXPONENT
  const norm = 1 / (1 + k / SHELF_Q + k * k)
  const highPass = highPassDenominator(sampleRateHz)
  const scale = highPassDenominator(48000).a0 / highPass.a0
  return {
    shelf: {
      b0: (high + (band * k) / SHELF_Q + k * k) * norm,
      b1: 2 * (k * k - high) * norm,
      b2: (high - (band * k) / SHELF_Q + k * k) * norm,
      a1: 2 * (k * k - 1) * norm,
      a2: (1 - k / SHELF_Q + k * k) * norm,
    },
    highPass: { b0: scale, b1: -2 * scale, b2: scale, a1: highPass.a1, a2: highPass.a2 },
  }
}

function highPassDenominator(sampleRateHz: number): { a0: number; a1: number; a2: number } {
  const k = Math.tan((Math.PI * HIGH_PASS_HZ) / sampleRateHz)
  const a0 = 1 + k / HIGH_PASS_Q + k * k
  return { a0, a1: (2 * (k * k - 1)) / a0, a2: (1 - k / HIGH_PASS_Q + k * k) / a0 }
}

/** The running filter of all channels of one programme. */
interface KWeightedEnergy {
  /**
   * Filters frames `fromFrame` up to `toFrame` (excluded) and returns the sum over
   * channels of weight times the sum of squares (linear, full scale = 1).
   */
  add(channels: Channels, fromFrame: number, toFrame: number): number
}

/**
 * @param weights the channel weights G of BS.1770-5 Table 3, one per channel; 0 leaves a channel out
 */
export function createKWeightedEnergy(sampleRateHz: number, weights: readonly number[]): KWeightedEnergy {
  const { shelf, highPass } = kWeightingCoefficients(sampleRateHz)
  // In the kernel's form. The scale of stage 2 is taken out of its loop and applied, squared, to the energy.
  const coefficients = Float64Array.of(
    shelf.b0,
    shelf.b1 - shelf.a1 * shelf.b0,
    shelf.b2 - shelf.a2 * shelf.b0,
    shelf.a1,
    shelf.a2,
    -2 - highPass.a1,
    1 - highPass.a2,
    highPass.a1,
    highPass.a2,
  )
  const scale = highPass.b0 * highPass.b0
  const counted = weights.flatMap((weight, channel) => (weight === 0 ? [] : [channel]))
  // Channels are filtered in pairs; an odd last one is paired with silence.
  const states = Array.from({ length: Math.ceil(counted.length / 2) }, () => new Float64Array(STATE_LENGTH))

  const rows = createWorkRows()
  const coefficientRow = rows.row(coefficients.length)
  // The kernel writes the two channels' energies after the state.
  const stateRow = rows.row(STATE_LENGTH + 2)
  const stateView = viewOf(stateRow, STATE_LENGTH + 2)
  const first = rows.row(BLOCK_FRAMES)
  const second = rows.row(BLOCK_FRAMES)
  const both = rows.row(2 * BLOCK_FRAMES)

  /** At most BLOCK_FRAMES. */
  function pairEnergy(pair: number, channels: Channels, from: number, to: number): number {
    const frames = to - from
    const [left, right] = [counted[2 * pair], counted[2 * pair + 1]]
    const state = states[pair]
    copyIn(channels[left], first, frames, from)
    if (right === undefined) clearRow(second, frames)
    else copyIn(channels[right], second, frames, from)
    kernels.interleaveRows(first, second, both, frames)
    copyIn(state, stateRow, STATE_LENGTH)
    kernels.writeKWeightedEnergies(both, frames, coefficientRow, stateRow)
    for (let i = 0; i < STATE_LENGTH; i++) {
      const value = stateView[i]
      state[i] = Math.abs(value) < NEGLIGIBLE ? 0 : value
    }
    const leftEnergy = stateView[STATE_LENGTH] * weights[left]
    return leftEnergy + (right === undefined ? 0 : stateView[STATE_LENGTH + 1] * weights[right])
  }

  return {
    add(channels, fromFrame, toFrame) {
      copyIn(coefficients, coefficientRow, coefficients.length)
      let energy = 0
      for (let from = fromFrame; from < toFrame; from += BLOCK_FRAMES) {
        const to = Math.min(toFrame, from + BLOCK_FRAMES)
        for (let pair = 0; pair < states.length; pair++) energy += pairEnergy(pair, channels, from, to)
      }
      return energy * scale
    },
  }
}
