// F9: dither as the writer puts it into files: power, independence from the signal, shape
// and spectrum.

import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { createWaveWriter } from '../../../app/audio/wave/wave-writer.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { welchSpectrum } from '../../signals/speech-measures.ts'
import { tone } from '../../signals/tones.ts'
import { dataBytesOf } from '../bounce-shop.ts'
import { LIMITS } from '../limits.ts'
import { evenAxis, type Plot } from '../plot.ts'
import { type Figure, type Reading, rowOf } from '../rows.ts'

const FS = 48_000
/** 10 s, as check values for noise floors are stated. */
const FRAMES = 480_000

type Bits = 16 | 24

/** Errors in LSB of both channels of a dithered file, by its bytes. */
function errorsLsb(folder: string, input: readonly Float64Array[], bits: Bits, seed: number): Float64Array[] {
  const path = join(folder, 'dithered.wav')
  const writer = createWaveWriter(path, {
    sampleRateHz: FS,
    channels: input.length,
    encoding: bits === 16 ? 'pcm-16' : 'pcm-24',
    ditherSeed: seed,
  })
  writer.write(input, input[0].length)
  writer.finish()
  const bytes = dataBytesOf(path)
  // The writer puts its file only where nothing stands.
  rmSync(path)
  const width = bits / 8
  const scale = 2 ** (bits - 1)
  return input.map((samples, c) =>
    samples.map((x, n) => bytes.readIntLE((n * input.length + c) * width, width) - x * scale),
  )
}

const meanOf = (values: Float64Array) => values.reduce((sum, x) => sum + x, 0) / values.length
const powerOf = (values: Float64Array) => values.reduce((sum, x) => sum + x * x, 0) / values.length

/** Correlation of two signals in standard errors of that of unrelated ones. */
function correlationSigmas(a: Float64Array, b: Float64Array): number {
  let product = 0
  for (let n = 0; n < a.length; n++) product += a[n] * b[n]
  return Math.abs(product / a.length / Math.sqrt(powerOf(a) * powerOf(b))) * Math.sqrt(a.length)
}

/** Chance that TPDF of 2 LSB peak to peak and rounding leave an error under x LSB: a cubic B-spline's integral. */
function errorDistribution(x: number): number {
  const ramp = (t: number) => Math.max(0, t) ** 3 / 6
  return ramp(x + 1.5) - 3 * ramp(x + 0.5) + 3 * ramp(x - 0.5) - ramp(x - 1.5)
}

const BINS = 30

/** Share of errors per bin of 0.1 LSB from -1.5 to 1.5. */
function histogramOf(errors: Float64Array): Float64Array {
  const counts = new Float64Array(BINS)
  for (const error of errors) counts[Math.min(BINS - 1, Math.max(0, Math.floor((error + 1.5) * 10)))]++
  return counts.map((count) => count / errors.length)
}

const expectedShare = (bin: number) => errorDistribution(-1.4 + bin / 10) - errorDistribution(-1.5 + bin / 10)

export function measureDither(): Figure {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-fidelity-'))
  try {
    return figureIn(folder)
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

function figureIn(folder: string): Figure {
  const inputs: Record<string, (bits: Bits) => Float64Array> = {
    silence: () => new Float64Array(FRAMES),
    'half a step': (bits) => new Float64Array(FRAMES).fill(0.5 * 2 ** (1 - bits)),
    'a sine of 0.7 steps': (bits) => tone(FRAMES, FS, 440, 0.7 * 2 ** (1 - bits)),
    'a sine at −6 dBFS': () => tone(FRAMES, FS, 997, 0.5),
  }
  const power: Reading[] = []
  const mean: Reading[] = []
  const related: Reading[] = []
  for (const bits of [16, 24] as const) {
    for (const [name, make] of Object.entries(inputs)) {
      const where = `${bits} bit, ${name}`
      const input = make(bits)
      const [left, right] = errorsLsb(folder, [input, input], bits, 20)
      power.push({ where, value: 10 * Math.log10(powerOf(left) / 0.25) })
      mean.push({ where: `${where}: mean`, value: (Math.abs(meanOf(left)) / 0.5) * Math.sqrt(FRAMES) })
      if (name.startsWith('a sine'))
        related.push({ where: `${where}: error and signal`, value: correlationSigmas(left, input) })
      related.push({ where: `${where}: left and right`, value: correlationSigmas(left, right) })
      // Power must not follow the signal either: the noise modulation that rectangular dither has.
      const squares = left.map((error) => error * error - 0.25)
      if (name.startsWith('a sine')) {
        related.push({
          where: `${where}: power of the error and signal`,
          value: correlationSigmas(squares, input),
        })
      }
    }
  }
  // Even over all places between two steps, as the formula has it.
  const [errors] = errorsLsb(folder, [whiteNoise(FRAMES, 3, 0.5)], 16, 21)
  const shares = histogramOf(errors)
  const shape = Array.from(shares, (share, bin): Reading => {
    const expected = expectedShare(bin)
    const sigma = Math.sqrt((expected * (1 - expected)) / FRAMES)
    return {
      where: `${(-1.5 + bin / 10).toFixed(1)} to ${(-1.4 + bin / 10).toFixed(1)} LSB`,
      value: Math.abs(share - expected) / sigma,
    }
  })
  const spectrum = welchSpectrum(errors, FS, 1024)
  const flat = 0.25 / 512
  const levels = Array.from({ length: 16 }, (_, band): Reading => {
    let sum = 0
    for (let k = 1; k <= 31; k++) sum += spectrum.power[band * 32 + k]
    return {
      where: `${band * 1.5} to ${(band + 1) * 1.5} kHz`,
      value: Math.abs(10 * Math.log10(sum / 31 / flat)),
    }
  })
  return {
    id: 'F9',
    title: 'Dither',
    rows: [
      rowOf('F9', 'power of the error in the file less LSB²/4', LIMITS.ditherPowerDb, power),
      rowOf('F9', 'mean of the error', LIMITS.ditherCorrelation, mean),
      rowOf('F9', 'correlation with the signal and between channels', LIMITS.ditherCorrelation, related),
      rowOf('F9', 'histogram of the error against TPDF and rounding', LIMITS.ditherShape, shape),
      rowOf('F9', 'spectrum in bands of 1.5 kHz against flat', LIMITS.ditherFlatnessDb, levels),
    ],
    plots: [histogramPlot(shares), spectrumPlot(spectrum.power, spectrum.binHz, flat)],
  }
}

function histogramPlot(shares: Float64Array): Plot {
  const xs = Array.from(shares, (_, bin) => -1.45 + bin / 10)
  return {
    title: 'Histogram of the error',
    caption:
      '10 s of noise at −6 dBFS in 16 bits, bins of 0.1 LSB, against the sum of two even values and rounding.',
    x: evenAxis('error, LSB', -1.5, 1.5, 0.5),
    y: evenAxis('share, %', 0, 8, 2),
    curves: [
      {
        name: 'measured',
        xs,
        ys: Array.from(shares, (share) => 100 * share),
        kind: 'points',
        colour: 'accent',
      },
      { name: 'theory', xs, ys: xs.map((_, bin) => 100 * expectedShare(bin)), kind: 'line', colour: 'ink' },
    ],
  }
}

function spectrumPlot(power: Float64Array, binHz: number, flat: number): Plot {
  const lsbDb = 20 * Math.log10(2 ** -15)
  return {
    title: 'Spectrum of the error',
    caption: 'The same file; power of bins of 47 Hz, dB re full scale = 1, against LSB²/4 spread evenly.',
    x: evenAxis('frequency, Hz', 0, 24_000, 4000),
    y: evenAxis('power of a bin, dB', -130, -115, 5),
    curves: [
      {
        name: 'measured',
        xs: power.map((_, k) => k * binHz),
        ys: power.map((x) => 10 * Math.log10(x + 1e-30) + lsbDb),
        kind: 'line',
        colour: 'accent',
      },
      {
        name: 'theory',
        xs: [0, 24_000],
        ys: [10 * Math.log10(flat) + lsbDb, 10 * Math.log10(flat) + lsbDb],
        kind: 'dashed',
        colour: 'ink',
      },
    ],
  }
}
