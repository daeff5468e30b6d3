// Second-order sections as trapezoidal state-variable filters with mix gains. Low-cut, tone, mic
// correction, the side chains of opto and de-esser and the de-esser's moving section are designed
// in this form and run in it (wasm/assembly/sections.ts and de-ess.ts), because the state keeps its
// meaning while coefficients change, where direct forms can overflow, and because doubles stay
// accurate in it far below 100 Hz. K-weighting and the opto's all-pass branches have forms of
// their own.
// Source: Zavalishin, "The Art of VA Filter Design"; Simper's note on the
// trapezoidal state-variable filter, 2013 (both from memory, checked in tests).

/**
 * One section: y = m0 x + m1 v1 + m2 v2, v1 the band-pass and v2 the low-pass
 * output of a state-variable filter.
 */
export interface SvfCoefficients {
  /** tan(pi f / sampleRate) of the poles, more than 0. */
  readonly g: number
  /** Damping of the poles, 1 / Q, more than 0. */
  readonly k: number
  readonly m0: number
  readonly m1: number
  readonly m2: number
}

/** Squared magnitude of a section at a frequency from 0 to half the sample rate. */
export function svfPower(section: SvfCoefficients, frequencyHz: number, sampleRateHz: number): number {
  const { g, k, m0, m1, m2 } = section
  const t = Math.tan((Math.PI * frequencyHz) / sampleRateHz) / g
  const square = t * t
  const realAbove = m0 * (1 - square) + m2
  const imaginaryAbove = (m0 * k + m1) * t
  const realBelow = 1 - square
  const imaginaryBelow = k * t
  return (
    (realAbove * realAbove + imaginaryAbove * imaginaryAbove) /
    (realBelow * realBelow + imaginaryBelow * imaginaryBelow)
  )
}
