// Second-order sections one sample after another, as the kernels of app/dsp/wasm compute them.

import type { SvfCoefficients } from '../../../app/dsp/filters/svf.ts'

/** Doubles of state per section and channel. */
export const SVF_STATE_LENGTH = 2

// The runners use the section as a state-space step. The two states and the
// output are the textbook ones, but each next state is one sum of products, so the
// chain from state to state is half as long as in the usual order of operations.

/**
 * Runs one section over one channel in place.
 * @param state two doubles at `at`, `at + 1`
 */
export function runSvf(
  section: SvfCoefficients,
  state: Float64Array,
  at: number,
  samples: Float64Array,
  from: number,
  to: number,
): void {
  const { g, k, m0, m1, m2 } = section
  const a1 = 1 / (1 + g * (g + k))
  const a2 = g * a1
  const a3 = g * a2
  const p11 = 2 * a1 - 1
  const p21 = 2 * a2
  const p22 = 1 - 2 * a3
  const q2 = 2 * a3
  const y0 = m0 + m1 * a2 + m2 * a3
  const y1 = m1 * a1 + m2 * a2
  const y2 = m2 * (1 - a3) - m1 * a2
  let c1 = state[at]
  let c2 = state[at + 1]
  for (let i = from; i < to; i++) {
    const x = samples[i]
    samples[i] = y0 * x + (y1 * c1 + y2 * c2)
    const next = p11 * c1 + p21 * (x - c2)
    c2 = p21 * c1 + (p22 * c2 + q2 * x)
    c1 = next
  }
  state[at] = c1
  state[at + 1] = c2
}

/**
 * Runs one section over two channels in place, in one loop: the two recursions do
 * not wait for one another, so the pair costs hardly more than one.
 */
export function runSvfPair(
  section: SvfCoefficients,
  state: Float64Array,
  atLeft: number,
  atRight: number,
  left: Float64Array,
  right: Float64Array,
  from: number,
  to: number,
): void {
  const { g, k, m0, m1, m2 } = section
  const a1 = 1 / (1 + g * (g + k))
  const a2 = g * a1
  const a3 = g * a2
  const p11 = 2 * a1 - 1
  const p21 = 2 * a2
  const p22 = 1 - 2 * a3
  const q2 = 2 * a3
  const y0 = m0 + m1 * a2 + m2 * a3
  const y1 = m1 * a1 + m2 * a2
  const y2 = m2 * (1 - a3) - m1 * a2
  let l1 = state[atLeft]
  let l2 = state[atLeft + 1]
  let r1 = state[atRight]
  let r2 = state[atRight + 1]
  for (let i = from; i < to; i++) {
    const l = left[i]
    const r = right[i]
    left[i] = y0 * l + (y1 * l1 + y2 * l2)
    right[i] = y0 * r + (y1 * r1 + y2 * r2)
    const nextLeft = p11 * l1 + p21 * (l - l2)
    const nextRight = p11 * r1 + p21 * (r - r2)
    l2 = p21 * l1 + (p22 * l2 + q2 * l)
    r2 = p21 * r1 + (p22 * r2 + q2 * r)
    l1 = nextLeft
    r1 = nextRight
  }
  state[atLeft] = l1
  state[atLeft + 1] = l2
  state[atRight] = r1
  state[atRight + 1] = r2
}

/**
 * Sets states that have died away to 0, so that they never reach denormal numbers,
 * which older processors handle 10 to 100 times slower.
 */
export function clearDeadStates(state: Float64Array): void {
  for (let i = 0; i < state.length; i++) {
    if (Math.abs(state[i]) < 1e-15) state[i] = 0
  }
}
