// Linear-phase low-pass filters by the Kaiser window: the design behind the
// oversampler and the search for peaks between samples.
// Source: Kaiser's formulas as in Oppenheim and Schafer, "Discrete-Time Signal
// Processing" (from memory; the responses are measured in tests).

/** Taps needed for a stop band this far down. @param transition width in cycles per sample */
export function kaiserTaps(stopBandDb: number, transition: number): number {
  return Math.ceil((stopBandDb - 7.95) / (2.285 * 2 * Math.PI * transition)) + 1
}

/**
 * Symmetric taps whose sum is 1.
 * @param taps odd
 * @param cutoff -6 dB point in cycles per sample, up to 0.5
 * @param stopBandDb attenuation asked of the stop band, more than 50
 */
export function kaiserLowPass(taps: number, cutoff: number, stopBandDb: number): Float64Array {
  const h = new Float64Array(taps)
  const middle = (taps - 1) / 2
  const beta = 0.1102 * (stopBandDb - 8.7)
  let sum = 0
  for (let i = 0; i < taps; i++) {
    const t = i - middle
    const place = t / (middle + 1)
    const sinc = t === 0 ? 2 * cutoff : Math.sin(2 * Math.PI * cutoff * t) / (Math.PI * t)
    h[i] = sinc * besselI0(beta * Math.sqrt(1 - place * place))
    sum += h[i]
  }
  for (let i = 0; i < taps; i++) h[i] /= sum
  return h
}

/** Modified Bessel function of the first kind, order 0, by its power series. */
function besselI0(x: number): number {
  const quarter = (x * x) / 4
  let term = 1
  let sum = 1
  for (let k = 1; term > sum * 1e-17; k++) {
    term *= quarter / (k * k)
    sum += term
  }
  return sum
}
