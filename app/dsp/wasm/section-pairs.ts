// Second-order sections in the kernels' layout: the coefficients of two sections in the halves of seven
// vectors.

import type { SvfCoefficients } from '../filters/svf.ts'

/** Doubles of state of a pair: c1 of both, then c2 of both. */
export const PAIR_STATE_LENGTH = 4
const PAIR_COEFFICIENTS = 14

/** Coefficients of pairs, one pair after the other; a pair may lack its second half. */
export function pairCoefficients(
  pairs: readonly (readonly [SvfCoefficients, SvfCoefficients | undefined])[],
): Float64Array {
  const coefficients = new Float64Array(PAIR_COEFFICIENTS * pairs.length)
  for (const [pair, halves] of pairs.entries()) {
    for (const [half, section] of halves.entries()) {
      if (section === undefined) continue
      for (const [k, value] of stateSpaceOf(section).entries()) {
        coefficients[PAIR_COEFFICIENTS * pair + 2 * k + half] = value
      }
    }
  }
  return coefficients
}

/** p11, p21, p22, q2, y0, y1, y2: the coefficients runSvf uses, computed with the same arithmetic. */
export function stateSpaceOf({ g, k, m0, m1, m2 }: SvfCoefficients): readonly number[] {
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
  return [p11, p21, p22, q2, y0, y1, y2]
}
