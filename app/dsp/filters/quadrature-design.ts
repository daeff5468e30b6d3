// The two all-pass branches whose outputs stay 90 degrees apart: the sum of their squares is the
// squared envelope of a sound (constant for a steady sine), so that a detector can be fast
// without following the waveform.
// Source: two-branch elliptic half-band design of Valenzuela and Constantinides, IEE
// Proc. G 130(6), 1983, turned by 90 degrees (formulas from memory; the ripple is tested).

/** All-pass sections of both branches together. */
export const QUADRATURE_SECTIONS = 8
/** Below this, and within as much of half the sample rate, the branches are no longer in quadrature. */
const LOWEST_HZ = 40

/** All-pass coefficients; those of the first and second branch alternate. */
export function quadratureCoefficients(sampleRateHz: number): readonly number[] {
  return ellipticHalfBand(QUADRATURE_SECTIONS, LOWEST_HZ / sampleRateHz)
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
