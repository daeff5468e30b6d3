// Standard phonetic measurements: formants by linear prediction, F0 by autocorrelation, Welch power
// spectra. Implemented independently of the code under test.
import FFT from 'fft.js'

export interface PowerSpectrum {
  /** Power in each bin, from 0 to half the sample rate; the bins sum to the mean square. */
  readonly power: Float64Array
  readonly binHz: number
}

/** Welch's method: Hann windows of `size` samples with 50 % overlap. */
export function welchSpectrum(
  samples: Float32Array | Float64Array,
  sampleRateHz: number,
  size: number,
): PowerSpectrum {
  const fft = new FFT(size)
  const bins = fft.createComplexArray() as number[]
  const windowed = new Array<number>(size)
  const power = new Float64Array(size / 2 + 1)
  let count = 0
  for (let start = 0; start + size <= samples.length; start += size / 2, count++) {
    for (let n = 0; n < size; n++) {
      windowed[n] = samples[start + n] * (0.5 - 0.5 * Math.cos((2 * Math.PI * n) / size))
    }
    fft.realTransform(bins, windowed)
    for (let k = 0; k < power.length; k++) power[k] += bins[2 * k] ** 2 + bins[2 * k + 1] ** 2
  }
  // 3/8 is the mean square of the Hann window; the factor 2 accounts for negative frequencies.
  for (let k = 0; k < power.length; k++) power[k] *= 2 / (count * size * size * 0.375)
  return { power, binHz: sampleRateHz / size }
}

/** Power between two frequencies. */
export function bandPower({ power, binHz }: PowerSpectrum, fromHz: number, toHz: number): number {
  let total = 0
  for (let k = Math.ceil(fromHz / binHz); k * binHz < toHz && k < power.length; k++) total += power[k]
  return total
}

/** Level in dB of the third-octave band around a mid-band frequency (IEC 61260-1: edges at 10^(+-1/20)). */
export function thirdOctaveLevelDb(spectrum: PowerSpectrum, midBandHz: number): number {
  return 10 * Math.log10(bandPower(spectrum, midBandHz * 10 ** -0.05, midBandHz * 10 ** 0.05))
}

/** Spectral centroid (first spectral moment) between two frequencies. */
export function spectralMeanHz(spectrum: PowerSpectrum, fromHz: number, toHz: number): number {
  let weighted = 0
  for (let k = Math.ceil(fromHz / spectrum.binHz); k * spectrum.binHz < toHz; k++) {
    weighted += k * spectrum.binHz * spectrum.power[k]
  }
  return weighted / bandPower(spectrum, fromHz, toHz)
}

/** Peak frequency of the spectrum smoothed over `widthHz`. */
export function spectralPeakHz(
  spectrum: PowerSpectrum,
  fromHz: number,
  toHz: number,
  widthHz: number,
): number {
  let best = 0
  let bestHz = fromHz
  for (let hz = fromHz; hz <= toHz; hz += spectrum.binHz) {
    const power = bandPower(spectrum, hz - widthHz / 2, hz + widthHz / 2)
    if (power > best) {
      best = power
      bestHz = hz
    }
  }
  return bestHz
}

/**
 * Formants in Hz by selective linear prediction (Makhoul 1975, Proc. IEEE 63, 561-580). The power spectrum from
 * 0 to `topHz`, pre-emphasised by 6 dB per octave, is transformed to an autocorrelation. The Levinson-Durbin
 * recursion fits an all-pole model to it; the poles with a bandwidth below `widestHz` are the formants.
 */
export function formantsHz(
  samples: Float32Array,
  sampleRateHz: number,
  { topHz, order, widestHz }: { topHz: number; order: number; widestHz: number },
): number[] {
  const { power, binHz } = welchSpectrum(samples, sampleRateHz, 8192)
  const last = Math.round(topHz / binHz)
  const autocorrelation = Array.from({ length: order + 1 }, (_, lag) => {
    let sum = 0
    for (let k = 0; k <= last; k++) {
      const lift = Math.sin((Math.PI * k) / (2 * last)) ** 2 + 0.001
      sum += power[k] * lift * Math.cos((Math.PI * k * lag) / last) * (k === 0 || k === last ? 0.5 : 1)
    }
    return sum
  })
  const rateHz = 2 * last * binHz
  return polynomialRoots(levinson(autocorrelation))
    .filter(([, im]) => im > 0)
    .map(([re, im]) => ({
      hz: (Math.atan2(im, re) * rateHz) / (2 * Math.PI),
      widthHz: (-Math.log(Math.hypot(re, im)) * rateHz) / Math.PI,
    }))
    .filter(({ hz, widthHz }) => widthHz < widestHz && hz > 150)
    .map(({ hz }) => hz)
    .sort((a, b) => a - b)
}

/** Prediction polynomial 1 + a1/z + ... by the Levinson-Durbin recursion. */
function levinson(r: readonly number[]): number[] {
  const a = [1]
  let error = r[0]
  for (let i = 1; i < r.length; i++) {
    let sum = 0
    for (let j = 0; j < i; j++) sum += a[j] * r[i - j]
    const reflection = -sum / error
    const previous = [...a, 0]
    for (let j = 0; j <= i; j++) a[j] = previous[j] + reflection * previous[i - j]
    error *= 1 - reflection * reflection
  }
  return a
}

/** All roots of a monic polynomial as [re, im], by the Durand-Kerner method. */
function polynomialRoots(coefficients: readonly number[]): [number, number][] {
  const degree = coefficients.length - 1
  const roots = Array.from({ length: degree }, (_, i): [number, number] => {
    const angle = (2 * Math.PI * i) / degree + 0.4
    return [0.9 * Math.cos(angle), 0.9 * Math.sin(angle)]
  })
  for (let round = 0; round < 500; round++) {
    for (let i = 0; i < degree; i++) {
      const [x, y] = roots[i]
      let [re, im] = [1, 0]
      for (const c of coefficients.slice(1)) [re, im] = [re * x - im * y + c, re * y + im * x]
      let [dre, dim] = [1, 0]
      for (let j = 0; j < degree; j++) {
        if (j === i) continue
        const [u, v] = [x - roots[j][0], y - roots[j][1]]
        ;[dre, dim] = [dre * u - dim * v, dre * v + dim * u]
      }
      const norm = dre * dre + dim * dim
      roots[i] = [x - (re * dre + im * dim) / norm, y - (im * dre - re * dim) / norm]
    }
  }
  return roots
}

/** F0 in Hz around `atSeconds`: peak of the normalised autocorrelation over 40 ms, parabolically interpolated. */
export function autocorrelationPitchHz(
  samples: Float32Array,
  sampleRateHz: number,
  atSeconds: number,
  lowestHz: number,
  highestHz: number,
): number {
  const length = Math.round(0.04 * sampleRateHz)
  const longest = Math.ceil(sampleRateHz / lowestHz)
  const start = Math.round(atSeconds * sampleRateHz - (length + longest) / 2)
  const correlation = (lag: number): number => {
    let xy = 0
    let xx = 0
    let yy = 0
    for (let n = start; n < start + length; n++) {
      xy += samples[n] * samples[n + lag]
      xx += samples[n] ** 2
      yy += samples[n + lag] ** 2
    }
    return xy / Math.sqrt(xx * yy)
  }
  let bestLag = 0
  let best = Number.NEGATIVE_INFINITY
  for (let lag = Math.floor(sampleRateHz / highestHz); lag <= longest; lag++) {
    const value = correlation(lag)
    // Avoids octave errors: a longer lag must correlate clearly better than a shorter one.
    if (value > best * 1.01 + 1e-9) {
      best = value
      bestLag = lag
    }
  }
  const [before, at, after] = [correlation(bestLag - 1), correlation(bestLag), correlation(bestLag + 1)]
  return sampleRateHz / (bestLag + (before - after) / (2 * (before - 2 * at + after)))
}

/** Magnitude-squared coherence of two signals, averaged over a band (Welch, Hann 4096, 50 % overlap). */
export function meanCoherence(
  a: Float32Array,
  b: Float32Array,
  sampleRateHz: number,
  fromHz: number,
  toHz: number,
): number {
  const size = 4096
  const fft = new FFT(size)
  const [first, last] = [fromHz, toHz].map((hz) => Math.round((hz * size) / sampleRateHz))
  const [aa, bb, re, im] = Array.from({ length: 4 }, () => new Float64Array(size / 2 + 1))
  const transform = (x: Float32Array, start: number): number[] => {
    const windowed = Array.from(
      { length: size },
      (_, n) => x[start + n] * (0.5 - 0.5 * Math.cos((2 * Math.PI * n) / size)),
    )
    const bins = fft.createComplexArray() as number[]
    fft.realTransform(bins, windowed)
    return bins
  }
  for (let start = 0; start + size <= Math.min(a.length, b.length); start += size / 2) {
    const x = transform(a, start)
    const y = transform(b, start)
    for (let k = first; k <= last; k++) {
      aa[k] += x[2 * k] ** 2 + x[2 * k + 1] ** 2
      bb[k] += y[2 * k] ** 2 + y[2 * k + 1] ** 2
      re[k] += x[2 * k] * y[2 * k] + x[2 * k + 1] * y[2 * k + 1]
      im[k] += x[2 * k + 1] * y[2 * k] - x[2 * k] * y[2 * k + 1]
    }
  }
  let sum = 0
  for (let k = first; k <= last; k++) sum += (re[k] ** 2 + im[k] ** 2) / (aa[k] * bb[k])
  return sum / (last - first + 1)
}
