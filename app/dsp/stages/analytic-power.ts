// The momentary power of a sound without the ripple that squaring leaves: two all-pass
// branches hold their outputs 90 degrees apart, and the sum of their squares is the
// squared envelope (constant for a steady sine). A level control can then be quick
// without riding on the waveform.
// Source: two-branch elliptic half-band design of Valenzuela and Constantinides, IEE
// Proc. G 130(6), 1983, turned by 90 degrees (formulas from memory; the ripple is tested).

const SECTIONS = 8
const SECTIONS_PER_BRANCH = SECTIONS / 2
/** Below this, and as far below half the sample rate, the branches leave quadrature. */
const LOWEST_HZ = 40
/** Below this a state has died away; it is cleared before it can become a denormal number. */
const DEAD = 1e-15

/** Doubles of state per channel. */
export const ANALYTIC_STATE_LENGTH = SECTIONS * 4 + 1

export interface AnalyticPower {
  /**
   * Replaces the samples by the squared envelope: amplitude squared for a sine.
   * @param state ANALYTIC_STATE_LENGTH doubles
   * @param spare as long as the samples, overwritten
   */
  run(samples: Float64Array, spare: Float64Array, state: Float64Array, frames: number): void
}

/** All-pass coefficients at a rate, those of the first branch and of the second in turn. */
export function quadratureCoefficients(sampleRateHz: number): readonly number[] {
  return ellipticHalfBand(SECTIONS, LOWEST_HZ / sampleRateHz)
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

/** All-pass coefficients of a half-band filter. @param transition in cycles per sample */
function ellipticHalfBand(count: number, transition: number): number[] {
  const k = Math.tan(((1 - 2 * transition) * Math.PI) / 4) ** 2
  const root = (1 - k * k) ** 0.25
  const e = (0.5 * (1 - root)) / (1 + root)
  const e4 = e ** 4
  const nome = e * (1 + e4 * (2 + e4 * (15 + 150 * e4)))
  const order = 2 * count + 1
  return Array.from({ length: count }, (_, index) => {
    const place = ((index + 1) * Math.PI) / order
    let above = 0
    let below = 0.5
    for (let i = 0; i < 12; i++) {
      const sign = i % 2 === 0 ? 1 : -1
      above += sign * nome ** (i * (i + 1)) * Math.sin((2 * i + 1) * place)
      below -= sign * nome ** ((i + 1) * (i + 1)) * Math.cos(2 * (i + 1) * place)
    }
    const square = ((above * nome ** 0.25) / below) ** 2
    const x = Math.sqrt((1 - square * k) * (1 - square / k)) / (1 + square)
    return (1 - x) / (1 + x)
  })
}
