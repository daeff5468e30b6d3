// Whether two takes contain the same performance: copies, bounces of one another, a comp and
// its source takes. First their prints are correlated as a whole, which finds the lags; then
// the prints are compared phrase by phrase; then the sound itself, to the sample.
// Method: generalised cross-correlation with phase transform; in the sound each bin counts by its share of
// signal, so that bins of noise alone do not decide (Knapp and Carter 1976).

import { createRealFft } from '../maths/fft.ts'
import type { Span } from '../maths/span.ts'
import type { VoicePrint } from './voice-print.ts'

/** What two prints share at one lag. */
export interface SharedSound {
  /** The moment t of the first take is the moment t + lagSeconds of the second, to about a millisecond. */
  readonly lagSeconds: number
  readonly isInverted: boolean
  /** The phrases of the first take that the second has as well. */
  readonly phrases: readonly Span[]
}

/** The lag of two stretches to the sample. */
export interface ExactLag {
  /** Sample n of the first stretch is sample n + lagFrames of the second. */
  readonly lagFrames: number
  readonly isInverted: boolean
  /** Highest over median magnitude of the correlation. */
  readonly ratio: number
}

/** Same performance above this; doubles of a line reach 15 to 22 on whole takes, copies thousands. */
export const SAME_PERFORMANCE_RATIO = 200
/** Peaks of the prints' correlation this far above its median are examined; chance reaches 8. */
const CANDIDATE_RATIO = 14
const MAX_LAGS = 6
/**
 * Bits that agree in a phrase at the right lag: nearly all in a copy, 66 to 85 % in one that went through a
 * low-cut and bells, which turn the phase; at most 60 % in a double, at the lag that suits it best.
 */
const AGREEING_SHARE = 0.64
/** In short phrases chance scatters more: by one over the root of the number of bits. */
const AGREEING_SCATTER = 5.3
/** Filters spread a copy's correlation over lags this far apart; they count as one. */
const SPREAD_SECONDS = 0.005

/** The two stretches are faded in and out over this share: cut edges would correlate at lag 0. */
const FADE_SHARE = 1 / 16
/** Noise is read from the quietest of this many bands of a spectrum, from the lowest bin to half the rate. */
const NOISE_BANDS = 256
/** A single bin of noise may be this much stronger than its mean; below that it counts for nothing. */
const NOISE_SCATTER = 4

/** Least share of a phrase's bits that agree, or differ, where another print has the phrase as well. */
export function leastAgreement(phraseBits: number): number {
  return Math.min(1, Math.max(AGREEING_SHARE, 0.5 + AGREEING_SCATTER / Math.sqrt(phraseBits)))
}

/** Compares one print with others; the spectrum of the first is computed once for all of them. */
interface PrintComparer {
  /** The phrases that the other print has as well, for each lag at which it has any. */
  compare(other: VoicePrint): readonly SharedSound[]
}

/** @param longestBits bits of the longest print that it will be compared with */
export function createPrintComparer(
  print: VoicePrint,
  phrases: readonly Span[],
  longestBits: number,
): PrintComparer {
  const points = 2 ** Math.ceil(Math.log2(Math.max(16, print.length + longestBits)))
  const correlate = createCorrelator(points)
  const own = correlate.spectrum(signsOf(print, print.rateHz, points))
  const spanBits = phrases.map(({ fromS, toS }) => ({
    from: Math.max(0, Math.round(fromS * print.rateHz)),
    to: Math.min(print.length, Math.round(toS * print.rateHz)),
  }))

  return {
    compare(other) {
      const signs = signsOf(other, print.rateHz, points)
      const otherBits = Math.min(points, Math.floor((other.length * print.rateHz) / other.rateHz))
      const { correlation, median } = correlate.with(own, correlate.spectrum(signs))
      const found: SharedSound[] = []
      const taken = new Uint8Array(phrases.length)
      for (const lags of highestLags(correlation, median, SPREAD_SECONDS * print.rateHz)) {
        const shared: Span[] = []
        let inverted = 0
        for (const [i, { from, to }] of spanBits.entries()) {
          if (taken[i] === 1) continue
          const share = lags
            .map((lag) => agreement(print, signs, otherBits, from, to, lag))
            .reduce((best, one) => (Math.abs(one - 0.5) > Math.abs(best - 0.5) ? one : best))
          if (Math.max(share, 1 - share) < leastAgreement(to - from)) continue
          taken[i] = 1
          shared.push(phrases[i])
          if (share < 0.5) inverted++
        }
        if (shared.length === 0) continue
        found.push({
          lagSeconds: lags[0] / print.rateHz,
          isInverted: inverted > shared.length / 2,
          phrases: shared,
        })
      }
      return found
    },
  }
}

/**
 * The lag between two stretches of the same length, searched over all of it.
 * @param first, second at one sample rate
 */
export function exactLag(first: Float64Array, second: Float64Array): ExactLag {
  const points = 2 ** Math.ceil(Math.log2(Math.max(16, 2 * first.length)))
  const correlate = createCorrelator(points)
  const padded = new Float64Array(points)
  padded.set(first)
  fadeEnds(padded, first.length)
  const one = correlate.spectrum(padded, true)
  padded.fill(0)
  padded.set(second)
  fadeEnds(padded, second.length)
  const { correlation, median } = correlate.with(one, correlate.spectrum(padded, true))
  let at = 0
  for (let n = 1; n < points; n++) if (Math.abs(correlation[n]) > Math.abs(correlation[at])) at = n
  return {
    lagFrames: at > points / 2 ? at - points : at,
    isInverted: correlation[at] < 0,
    ratio: median > 0 ? Math.abs(correlation[at]) / median : 0,
  }
}

interface Spectrum {
  readonly re: Float32Array
  readonly im: Float32Array
}

/** Cross-correlation by phase alone; entry n is for the second signal n samples later than the first. */
function createCorrelator(points: number) {
  const fft = createRealFft(points)
  const half = points / 2
  const re = new Float64Array(half + 1)
  const im = new Float64Array(half + 1)
  const packed = new Float64Array(points)
  const correlation = new Float64Array(points)

  return {
    /** Keeps only the phase of each bin, by its share of signal where `isWeighted`. */
    spectrum(samples: Float64Array, isWeighted = false): Spectrum {
      fft.transform(samples, re, im)
      const phases = { re: new Float32Array(half + 1), im: new Float32Array(half + 1) }
      const noise = isWeighted ? NOISE_SCATTER * noisePower(re, im) : 0
      for (let k = 0; k <= half; k++) {
        const power = re[k] * re[k] + im[k] * im[k]
        if (power <= noise) continue
        const gain = (1 - noise / power) / Math.sqrt(power)
        phases.re[k] = gain * re[k]
        phases.im[k] = gain * im[k]
      }
      return phases
    },
    with(first: Spectrum, second: Spectrum): { correlation: Float64Array; median: number } {
      // The inverse transform of a + ib by a forward one, of a + b, whose real and imaginary
      // parts are the even and odd halves of the result.
      for (let k = 0; k <= half; k++) {
        const a = second.re[k] * first.re[k] + second.im[k] * first.im[k]
        const b = second.im[k] * first.re[k] - second.re[k] * first.im[k]
        packed[k] = a + b
        if (k > 0 && k < half) packed[points - k] = a - b
      }
      fft.transform(packed, re, im)
      correlation[0] = re[0]
      correlation[half] = re[half]
      for (let n = 1; n < half; n++) {
        correlation[n] = re[n] + im[n]
        correlation[points - n] = re[n] - im[n]
      }
      return { correlation, median: medianMagnitude(correlation) }
    },
  }
}

function fadeEnds(samples: Float64Array, length: number): void {
  const fade = Math.floor(FADE_SHARE * length)
  for (let n = 0; n < fade; n++) {
    const gain = 0.5 - 0.5 * Math.cos((Math.PI * (n + 0.5)) / fade)
    samples[n] *= gain
    samples[length - 1 - n] *= gain
  }
}

/** Mean power per bin of the quietest band, taken as that of white noise such as rounding leaves. */
function noisePower(re: Float64Array, im: Float64Array): number {
  const width = Math.floor((re.length - 1) / NOISE_BANDS)
  if (width === 0) return 0
  let least = Infinity
  for (let band = 0; band < NOISE_BANDS; band++) {
    let sum = 0
    for (let k = band * width; k < (band + 1) * width; k++) sum += re[k] * re[k] + im[k] * im[k]
    least = Math.min(least, sum / width)
  }
  return least
}

/** In long lists every 64th value is enough. */
function medianMagnitude(values: Float64Array): number {
  const step = values.length > 1 << 14 ? 64 : 1
  const some = new Float64Array(Math.floor(values.length / step))
  for (let i = 0; i < some.length; i++) some[i] = Math.abs(values[i * step])
  return some.sort()[some.length >> 1]
}

/** Lags of the peaks that stand out, highest first, each followed by those of lower peaks within `spread`. */
function highestLags(correlation: Float64Array, median: number, spread: number): number[][] {
  const peaks: { lag: number; height: number }[] = []
  for (let n = 0; n < correlation.length; n++) {
    const height = Math.abs(correlation[n])
    if (height < CANDIDATE_RATIO * median) continue
    peaks.push({ lag: n > correlation.length / 2 ? n - correlation.length : n, height })
  }
  peaks.sort((a, b) => b.height - a.height)
  const groups: number[][] = []
  for (const { lag } of peaks) {
    const near = groups.find(([first]) => Math.abs(lag - first) <= spread)
    if (near !== undefined) near.push(lag)
    else if (groups.length < MAX_LAGS) groups.push([lag])
  }
  return groups
}

/** A print as -1 and 1 at `rateHz`, followed by zeros. */
function signsOf(print: VoicePrint, rateHz: number, points: number): Float64Array {
  const signs = new Float64Array(points)
  const step = print.rateHz / rateHz
  const length = Math.min(points, Math.floor(print.length / step))
  for (let n = 0; n < length; n++) signs[n] = bitOf(print, Math.floor(n * step)) === 1 ? 1 : -1
  return signs
}

function bitOf({ bits }: VoicePrint, index: number): number {
  return (bits[index >> 3] >> (index & 7)) & 1
}

/** Share of a stretch's bits that are the same in the other; 0.5 where less than half of it overlaps. */
function agreement(
  print: VoicePrint,
  signs: Float64Array,
  length: number,
  from: number,
  to: number,
  lag: number,
): number {
  const first = Math.max(from, -lag)
  const last = Math.min(to, length - lag)
  if (last - first < (to - from) / 2) return 0.5
  let same = 0
  for (let n = first; n < last; n++) if ((bitOf(print, n) === 1) === signs[n + lag] > 0) same++
  return same / (last - first)
}
