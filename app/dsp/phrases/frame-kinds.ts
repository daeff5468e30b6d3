// What kind of sound a frame of about 43 ms is: how periodic, how flat its spectrum, and whether its power lies above
// 5 kHz. A breath is neither periodic like a vowel nor bright like an /s/, at any level.

import type { FrameSpectrum } from '../analysis/spectra/frame-spectrum.ts'
import { createRealFft } from '../maths/fft.ts'

/** Periods of voices are looked for between these pitches, in the sound of this band. */
const LOWEST_PITCH_HZ = 65
const HIGHEST_PITCH_HZ = 500
const PITCH_BAND_HZ = [80, 1500] as const
const FLAT_BAND_HZ = [300, 6000] as const
const BRIGHT_FROM_HZ = 5000

interface FrameKinds {
  /** Greatest normalised autocorrelation of the last spectrum in the band and over the periods of voices, 0 to 1. */
  periodicity(): number
  /** Geometric over arithmetic mean of the last spectrum from 300 Hz to 6 kHz, dB; 0 for white, less for tones. */
  flatnessDb(): number
  /** Whether more power lies above 5 kHz than from 300 Hz to 5 kHz, as in sibilants. */
  isBright(): boolean
}

/** @param spectrum with a Hann window of about 43 ms */
export function createFrameKinds(spectrum: FrameSpectrum): FrameKinds {
  const { points, binHz, powers } = spectrum
  const firstBin = Math.ceil(PITCH_BAND_HZ[0] / binHz)
  const lastBin = Math.floor(PITCH_BAND_HZ[1] / binHz)
  // The autocorrelation is the transform of the power spectrum (Wiener and Khinchin). The band needs few bins.
  const size = 4 * 2 ** Math.ceil(Math.log2(lastBin + 1))
  const step = points / size
  const fft = createRealFft(size)
  const band = new Float64Array(size)
  const re = new Float64Array(size / 2 + 1)
  const im = new Float64Array(size / 2 + 1)
  const rateHz = binHz * points
  const shortest = Math.floor(rateHz / HIGHEST_PITCH_HZ / step)
  const longest = Math.ceil(rateHz / LOWEST_PITCH_HZ / step)
  const taper = Float64Array.from({ length: longest + 1 }, (_, lag) =>
    windowCorrelation((lag * step) / points),
  )
  const flatFrom = Math.ceil(FLAT_BAND_HZ[0] / binHz)
  const flatTo = Math.min(points / 2, Math.floor(FLAT_BAND_HZ[1] / binHz))

  return {
    periodicity() {
      band.fill(0)
      for (let k = firstBin; k <= lastBin; k++) {
        band[k] = powers[k]
        band[size - k] = powers[k]
      }
      fft.transform(band, re, im)
      if (!(re[0] > 0)) return 0
      let best = 0
      for (let lag = shortest; lag <= longest; lag++) {
        const value = re[lag] / (re[0] * taper[lag])
        if (value > best) best = value
      }
      return Math.min(1, best)
    },
    flatnessDb() {
      let logs = 0
      let sum = 0
      for (let k = flatFrom; k <= flatTo; k++) {
        logs += Math.log(powers[k] + 1e-30)
        sum += powers[k]
      }
      const count = flatTo - flatFrom + 1
      return (10 / Math.LN10) * (logs / count - Math.log(sum / count + 1e-30))
    },
    isBright: () =>
      spectrum.bandPower(BRIGHT_FROM_HZ, rateHz / 2) > spectrum.bandPower(FLAT_BAND_HZ[0], BRIGHT_FROM_HZ),
  }
}

/** Autocorrelation of the Hann window at a lag that is a share of its length; 1 at 0. */
function windowCorrelation(share: number): number {
  const rest = 1 - share
  const turn = 2 * Math.PI * share
  return (rest * (2 + Math.cos(turn)) + (3 / (2 * Math.PI)) * Math.sin(turn)) / 3
}
