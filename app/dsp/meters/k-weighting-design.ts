// The filters of K-weighting, ITU-R BS.1770-5 Annex 1, at any sample rate. The Recommendation prints
// coefficients for 48 kHz only and asks for the same frequency response elsewhere. Apart from the running
// filter, because the window's meter computes with the same coefficients on the audio thread.

/** Second-order section with a0 = 1: y = b0 x + b1 x1 + b2 x2 - a1 y1 - a2 y2. */
export interface BiquadCoefficients {
  readonly b0: number
  readonly b1: number
  readonly b2: number
  readonly a1: number
  readonly a2: number
}

interface KWeightingCoefficients {
  /** Stage 1: the shelf that models the head. */
  readonly shelf: BiquadCoefficients
  /** Stage 2: the high-pass (RLB curve). */
  readonly highPass: BiquadCoefficients
}

// Analogue prototype whose bilinear transform gives Tables 1 and 2 of the
// Recommendation at 48 kHz to 1e-15 (in wide use in open-source loudness code).
const SHELF_HZ = 1681.974450955533
const SHELF_GAIN_DB = 3.999843853973347
const SHELF_Q = 0.7071752369554196
const SHELF_BAND_EXPONENT = 0.4996667741545416
const HIGH_PASS_HZ = 38.13547087602444
const HIGH_PASS_Q = 0.5003270373238773

const LOWEST_RATE_HZ = 4000

/**
 * Both stages at `sampleRateHz`. Stage 2 is scaled so that its pass-band gain is that
 * of the printed 48 kHz table (b = 1, -2, 1 there): leaving b unscaled, as is often
 * done, reads 0.03 dB low at 192 kHz and 0.2 dB high at 8 kHz.
 * @throws RangeError below 4 kHz, where the shelf is too close to half the sample rate
 */
export function kWeightingCoefficients(sampleRateHz: number): KWeightingCoefficients {
  if (!(sampleRateHz >= LOWEST_RATE_HZ && sampleRateHz < Infinity)) {
    throw new RangeError(
      `K-weighting needs a sample rate of ${LOWEST_RATE_HZ} Hz or more, not ${sampleRateHz}`,
    )
  }
  const k = Math.tan((Math.PI * SHELF_HZ) / sampleRateHz)
  const high = 10 ** (SHELF_GAIN_DB / 20)
  const band = high ** SHELF_BAND_EXPONENT
  const norm = 1 / (1 + k / SHELF_Q + k * k)
  const highPass = highPassDenominator(sampleRateHz)
  const scale = highPassDenominator(48000).a0 / highPass.a0
  return {
    shelf: {
      b0: (high + (band * k) / SHELF_Q + k * k) * norm,
      b1: 2 * (k * k - high) * norm,
      b2: (high - (band * k) / SHELF_Q + k * k) * norm,
      a1: 2 * (k * k - 1) * norm,
      a2: (1 - k / SHELF_Q + k * k) * norm,
    },
    highPass: { b0: scale, b1: -2 * scale, b2: scale, a1: highPass.a1, a2: highPass.a2 },
  }
}

function highPassDenominator(sampleRateHz: number): { a0: number; a1: number; a2: number } {
  const k = Math.tan((Math.PI * HIGH_PASS_HZ) / sampleRateHz)
  const a0 = 1 + k / HIGH_PASS_Q + k * k
  return { a0, a1: (2 * (k * k - 1)) / a0, a2: (1 - k / HIGH_PASS_Q + k * k) / a0 }
}
