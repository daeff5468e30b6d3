// The squared envelope of a sound by two all-pass branches, one sample after another.

import { QUADRATURE_SECTIONS, quadratureCoefficients } from '../../../app/dsp/filters/quadrature-design.ts'

const SECTIONS_PER_BRANCH = QUADRATURE_SECTIONS / 2
/** Below this a state has died away; it is cleared before it can become a denormal number. */
const DEAD = 1e-15

/** Doubles of state per channel. */
export const ANALYTIC_STATE_LENGTH = QUADRATURE_SECTIONS * 4 + 1

export interface AnalyticPower {
  /**
   * Replaces the samples by the squared envelope: amplitude squared for a sine.
   * @param state ANALYTIC_STATE_LENGTH doubles
   * @param spare as long as the samples, overwritten
   */
  run(samples: Float64Array, spare: Float64Array, state: Float64Array, frames: number): void
}

export function createAnalyticPower(sampleRateHz: number): AnalyticPower {
  const coefficients = quadratureCoefficients(sampleRateHz)
  const last = ANALYTIC_STATE_LENGTH - 1
  return {
    run(samples, spare, state, frames) {
      // The second branch is one sample late by design.
      let late = state[last]
      for (let i = 0; i < frames; i++) {
        spare[i] = late
        late = samples[i]
      }
      state[last] = late
      for (let section = 0; section < SECTIONS_PER_BRANCH; section++) {
        runAllPass(samples, coefficients[2 * section], state, 8 * section, frames)
        runAllPass(spare, coefficients[2 * section + 1], state, 8 * section + 4, frames)
      }
      for (let i = 0; i < frames; i++) samples[i] = samples[i] * samples[i] + spare[i] * spare[i]
    },
  }
}

/** (a - z^-2) / (1 - a z^-2) in place; state is x[n-1], x[n-2], y[n-1], y[n-2]. */
function runAllPass(samples: Float64Array, a: number, state: Float64Array, at: number, frames: number): void {
  let x1 = state[at]
  let x2 = state[at + 1]
  let y1 = state[at + 2]
  let y2 = state[at + 3]
  for (let i = 0; i < frames; i++) {
    const x = samples[i]
    let y = a * (x + y2) - x2
    if (y < DEAD && y > -DEAD) y = 0
    x2 = x1
    x1 = x
    y2 = y1
    y1 = y
    samples[i] = y
  }
  state[at] = x1
  state[at + 1] = x2
  state[at + 2] = y1
  state[at + 3] = y2
}
