// The analogue prototypes of the W3C Audio EQ Cookbook note (8 June 2021) in complex
// arithmetic at s = j f / f0, as printed there. Nothing here comes from the program.

export interface PrototypeBand {
  readonly shape: 'low-shelf' | 'bell' | 'high-shelf'
  readonly frequencyHz: number
  readonly gainDb: number
  readonly q: number
}

/** |H(s)| of a band in dB. */
export function prototypeBandDb({ shape, frequencyHz, gainDb, q }: PrototypeBand, atHz: number): number {
  const a = 10 ** (gainDb / 40)
  const root = Math.sqrt(a) / q
  // Coefficients of s^2, s and 1, above and below.
  switch (shape) {
    case 'bell':
      return ratioDb([1, a / q, 1], [1, 1 / (a * q), 1], atHz / frequencyHz)
    case 'low-shelf':
      return ratioDb([a, a * root, a * a], [a, root, 1], atHz / frequencyHz)
    case 'high-shelf':
      return ratioDb([a * a, a * root, a], [1, root, a], atHz / frequencyHz)
  }
}

/** Butterworth high-pass of order n: 10 log10(1 / (1 + (f0 / f)^2n)). */
export function butterworthHighPassDb(cornerHz: number, order: number, atHz: number): number {
  return -10 * Math.log10(1 + (cornerHz / atHz) ** (2 * order))
}

type Quadratic = readonly [s2: number, s1: number, s0: number]

function ratioDb(above: Quadratic, below: Quadratic, u: number): number {
  const size = ([s2, s1, s0]: Quadratic) => Math.hypot(s0 - s2 * u * u, s1 * u)
  return 20 * Math.log10(size(above) / size(below))
}
