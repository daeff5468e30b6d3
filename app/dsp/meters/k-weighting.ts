// The K-weighted energy of ITU-R BS.1770-5 Annex 1 at any sample rate, from which all loudness figures are
// computed.

import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { clearRow, copyIn, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'
import { kWeightingCoefficients } from './k-weighting-design.ts'

// Below this the state is inaudible by hundreds of dB and would become denormal.
const NEGLIGIBLE = 1e-30
/** Doubles of state of two channels. */
const STATE_LENGTH = 8

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
