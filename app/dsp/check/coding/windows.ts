// The windows of frames of 2048 samples under which AAC and Vorbis transform, as series of sines.

/** Samples of a frame. */
export const FRAME = 2048
/** The windows of AAC and Vorbis are these many sines, but for errors of -58 dB. */
export const WINDOW_TERMS = 8

/** Smaller factors are rounding errors. */
const SMALLEST = 1e-9

/** A window as w(n) = sum over m of series[m] sin((2m + 1) pi (n + 1/2) / 2048), `WINDOW_TERMS` of them. */
export type SineSeries = Float64Array

/** AAC (ISO/IEC 14496-3, 4.6.11.3.2): sine. */
export const sineWindow = (n: number): number => Math.sin((Math.PI * (n + 0.5)) / FRAME)

/** Vorbis I specification, 4.3.1: "power complementary" window. */
export const vorbisWindow = (n: number): number => Math.sin((Math.PI / 2) * sineWindow(n) ** 2)

/** AAC (ISO/IEC 14496-3, 4.6.11.3.2): Kaiser-Bessel-derived, alpha 4 for 2048 samples; all of its values. */
export function kaiserBesselWindow(): Float64Array {
  const half = FRAME / 2
  const sums = new Float64Array(half + 1)
  let sum = 0
  for (let n = 0; n <= half; n++) {
    sum += besselI0(4 * Math.PI * Math.sqrt(1 - ((2 * n) / half - 1) ** 2))
    sums[n] = sum
  }
  return Float64Array.from({ length: FRAME }, (_, n) => Math.sqrt(sums[n < half ? n : FRAME - 1 - n] / sum))
}

/** The sines of a window that is symmetric. */
export function sineSeries(window: (n: number) => number): SineSeries {
  return Float64Array.from({ length: WINDOW_TERMS }, (_, m) => {
    let sum = 0
    for (let n = 0; n < FRAME; n++) sum += window(n) * Math.sin(((2 * m + 1) * Math.PI * (n + 0.5)) / FRAME)
    const factor = (2 * sum) / FRAME
    return Math.abs(factor) < SMALLEST ? 0 : factor
  })
}

/** Modified Bessel function of the first kind, order 0, by its power series. */
function besselI0(x: number): number {
  let term = 1
  let sum = 1
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= (x / (2 * k)) ** 2
    sum += term
  }
  return sum
}
