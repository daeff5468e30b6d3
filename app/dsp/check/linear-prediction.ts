// Linear prediction: a filter that predicts each sample from those before it, and
// its residual. Autocorrelation method with the Levinson-Durbin recursion
// (Makhoul, "Linear prediction: a tutorial review", Proc. IEEE 63, 1975; from memory).

interface LinearPredictor {
  readonly order: number
  /** The residual filter of the last fit, `order` + 1 values from 1 on; overwritten by the next fit. */
  readonly coefficients: Float64Array
  /**
   * Fits the predictor to a windowed section.
   * @returns prediction gain (power over residual power), or 0 if there is nothing to predict
   */
  fit(samples: Float64Array, from: number): number
  /** Writes the residual of `count` samples from `from` on; reads `order` samples before it. */
  residual(samples: Float64Array, from: number, count: number, into: Float64Array): void
}

/** White noise is added at this share of the power, so that the equations stay solvable for pure tones. */
const NOISE_SHARE = 1e-9

/** @param length samples of the Hann window that the predictor is fitted to */
export function createLinearPredictor(order: number, length: number): LinearPredictor {
  const window = Float64Array.from(
    { length },
    (_, n) => 0.5 - 0.5 * Math.cos((2 * Math.PI * (n + 0.5)) / length),
  )
  const windowed = new Float64Array(length)
  const r = new Float64Array(order + 1)
  const a = new Float64Array(order + 1)
  const last = new Float64Array(order + 1)

  function correlate(): void {
    // Four lags per loop, so that each sample is loaded once for all four.
    for (let lag = 0; lag <= order; lag += 4) {
      let r0 = 0
      let r1 = 0
      let r2 = 0
      let r3 = 0
      for (let n = lag + 3; n < length; n++) {
        const x = windowed[n]
        const at = n - lag
        r0 += x * windowed[at]
        r1 += x * windowed[at - 1]
        r2 += x * windowed[at - 2]
        r3 += x * windowed[at - 3]
      }
      // The loop above skips the first samples of the lower three lags.
      for (let n = lag; n < Math.min(length, lag + 3); n++) {
        const x = windowed[n]
        r0 += x * windowed[n - lag]
        if (n >= lag + 1) r1 += x * windowed[n - lag - 1]
        if (n >= lag + 2) r2 += x * windowed[n - lag - 2]
      }
      r[lag] = r0
      if (lag + 1 <= order) r[lag + 1] = r1
      if (lag + 2 <= order) r[lag + 2] = r2
      if (lag + 3 <= order) r[lag + 3] = r3
    }
  }

  return {
    order,
    coefficients: a,
    fit(samples, from) {
      for (let n = 0; n < length; n++) windowed[n] = samples[from + n] * window[n]
      correlate()
      a.fill(0)
      a[0] = 1
      if (!(r[0] > 0)) return 0
      let error = r[0] * (1 + NOISE_SHARE)
      for (let m = 1; m <= order; m++) {
        let sum = r[m]
        for (let i = 1; i < m; i++) sum += a[i] * r[m - i]
        const reflection = -sum / error
        last.set(a)
        for (let i = 1; i < m; i++) a[i] = last[i] + reflection * last[m - i]
        a[m] = reflection
        error *= 1 - reflection * reflection
        if (!(error > 0)) return 0
      }
      return r[0] / error
    },
    residual(samples, from, count, into) {
      for (let n = 0; n < count; n++) {
        const at = from + n
        let sum = samples[at]
        for (let i = 1; i <= order; i++) sum += a[i] * samples[at - i]
        into[n] = sum
      }
    },
  }
}
