// A coder as plain as it can be: an MDCT of 1024 coefficients under the sine window (ISO/IEC 14496-3, 4.6.11.3.2), by
// its definition, whose coefficients are rounded to one step, and its inverse.

const HOP = 1024
const FRAME = 2 * HOP

/** @param step of the coefficients; those of a full-scale sine are about 500 */
export function sineWindowCoded(samples: Float64Array, step: number): Float64Array {
  const cosines = Float64Array.from({ length: 8 * HOP }, (_, i) => Math.cos((Math.PI * i) / (4 * HOP)))
  const window = Float64Array.from({ length: FRAME }, (_, n) => Math.sin((Math.PI * (n + 0.5)) / FRAME))
  const coded = new Float64Array(samples.length)
  const windowed = new Float64Array(FRAME)
  for (let at = 0; at + FRAME <= samples.length; at += HOP) {
    for (let n = 0; n < FRAME; n++) windowed[n] = window[n] * samples[at + n]
    const out = new Float64Array(FRAME)
    for (let k = 0; k < HOP; k++) {
      // cos(pi / 1024 (n + 1/2 + 512) (k + 1/2)), in steps of pi / 4096.
      const phase = (n: number): number => ((2 * n + 1 + HOP) * (2 * k + 1)) % (8 * HOP)
      let sum = 0
      for (let n = 0; n < FRAME; n++) sum += windowed[n] * cosines[phase(n)]
      const value = step * Math.round(sum / step)
      if (value !== 0) for (let n = 0; n < FRAME; n++) out[n] += value * cosines[phase(n)]
    }
    for (let n = 0; n < FRAME; n++) coded[at + n] += (window[n] * out[n]) / HOP
  }
  return coded
}
