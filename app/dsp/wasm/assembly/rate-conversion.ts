// The inner products of the rate converter, in the order of test/dsp/reference/rate-conversion.ts.

/**
 * Writes `frames` samples of the output.
 * @param input the first sample under the first one's taps; silence is written out
 * @param taps `length` for each phase in turn; `length` is a multiple of 4
 * @param phase of the first one
 * @param wholeStep input samples from one to the next, `phaseStep` less of their phases
 */
export function convertRate(
  input: usize,
  output: usize,
  frames: i32,
  taps: usize,
  length: i32,
  phases: i32,
  phase: i32,
  wholeStep: i32,
  phaseStep: i32,
): void {
  const rowBytes = length << 3
  let at = input
  for (let i = 0; i < frames; i++) {
    const row = taps + phase * rowBytes
    let a = f64x2.splat(0)
    let b = a
    for (let k = 0; k < rowBytes; k += 32) {
      a = f64x2.add(a, f64x2.mul(v128.load(row + k), v128.load(at + k)))
      b = f64x2.add(b, f64x2.mul(v128.load(row + k, 16), v128.load(at + k, 16)))
    }
    store<f64>(
      output + (i << 3),
      f64x2.extract_lane(a, 0) +
        f64x2.extract_lane(a, 1) +
        (f64x2.extract_lane(b, 0) + f64x2.extract_lane(b, 1)),
    )
    at += wholeStep << 3
    phase -= phaseStep
    if (phase < 0) {
      phase += phases
      at += 8
    }
  }
}
