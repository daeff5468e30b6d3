// The spectral envelope of a voiced frame without its harmonics: power averaged over a width of one
// F0, which always contains one harmonic, then its logarithm averaged over one F0 again
// and sharpened with its neighbours one F0 away, as a lifter in the cepstrum would.
// Source: Morise, "CheapTrick, a spectral envelope estimator for high-quality speech
// synthesis", Speech Communication 67, 2015 (from memory): a cepstral lifter sin(x)/x with
// x = pi F0 q is such an average, and 1.18 - 0.18 cos(2 pi F0 q) is its compensation.

import { octaveGridHz } from '../correction/curve.ts'
import { type FrameSpectrum, sumBelow } from './spectra/frame-spectrum.ts'

/** Resolution of every envelope. */
export const ENVELOPE_POINTS_PER_OCTAVE = 24
/** First point of every envelope. */
const LOWEST_HZ = 100
const HIGHEST_HZ = 12_000
const CENTRE_WEIGHT = 1.18
const NEIGHBOUR_WEIGHT = -0.09
const MIN_POWER = 1e-30

/** Frequency of an envelope point, counted from 0. */
export function envelopeFrequencyHz(point: number): number {
  return LOWEST_HZ * 2 ** (point / ENVELOPE_POINTS_PER_OCTAVE)
}

interface VoiceEnvelope {
  /** Points of the envelope: from 100 Hz, 24 per octave, up to 12 kHz or 0.42 of the sample rate. */
  readonly frequenciesHz: readonly number[]
  /** Power per bin at those frequencies for the last measured frame. */
  measure(spectrum: FrameSpectrum, pitchHz: number, powers: Float64Array): void
}

/** @param points frame length of the spectra */
export function createVoiceEnvelope(points: number, sampleRateHz: number): VoiceEnvelope {
  const binHz = sampleRateHz / points
  const frequenciesHz = octaveGridHz(
    LOWEST_HZ,
    Math.min(HIGHEST_HZ, 0.42 * sampleRateHz),
    ENVELOPE_POINTS_PER_OCTAVE,
  )
  // Enough bins above the highest point for its neighbour and half a window at the highest pitch.
  const bins = Math.min(points / 2, Math.ceil((frequenciesHz[frequenciesHz.length - 1] + 2200) / binHz))
  const sums = new Float64Array(bins + 2)
  const logs = new Float64Array(bins + 2)

  const meanLog = (place: number, half: number): number =>
    (sumBelow(logs, Math.min(bins, place + half)) - sumBelow(logs, place - half)) /
    (Math.min(bins + 0.5, place + half) - Math.max(-0.5, place - half))

  return {
    frequenciesHz,
    measure({ powers: spectrum }, pitchHz, powers) {
      const pitch = pitchHz / binHz
      const half = pitch / 2
      let sum = 0
      for (let k = 0; k <= bins; k++) {
        sums[k] = sum
        sum += spectrum[k]
      }
      sums[bins + 1] = sum
      let logSum = 0
      for (let k = 0; k <= bins; k++) {
        logs[k] = logSum
        const mean = (sumBelow(sums, Math.min(bins, k + half)) - sumBelow(sums, k - half)) / pitch
        logSum += Math.log(Math.max(mean, MIN_POWER))
      }
      logs[bins + 1] = logSum
      for (let i = 0; i < frequenciesHz.length; i++) {
        const place = frequenciesHz[i] / binHz
        const below = Math.abs(place - pitch)
        powers[i] = Math.exp(
          CENTRE_WEIGHT * meanLog(place, half) +
            NEIGHBOUR_WEIGHT * (meanLog(below, half) + meanLog(Math.min(bins, place + pitch), half)),
        )
      }
    },
  }
}
