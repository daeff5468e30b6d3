// The voice's envelope of a sound with one pitch, and its peaks against formants that
// somebody else gave. Between harmonics nothing is known, so formants are asked for to
// 0.55 of the distance of two of them or to 4 %, whichever is more (our figures).

import { createFrameSpectrum } from '../../app/dsp/analysis/spectra/frame-spectrum.ts'
import { createFramer } from '../../app/dsp/analysis/spectra/framer.ts'
import { createVoiceEnvelope, envelopeFrequencyHz } from '../../app/dsp/analysis/voice-envelope.ts'

export const ENVELOPE_RATE_HZ = 48_000
const POINTS = 4096

/** Level in dB of each point of the envelope, over all of the sound. */
export function envelopeDb(samples: Float64Array, pitchHz: number): number[] {
  const spectrum = createFrameSpectrum(POINTS, ENVELOPE_RATE_HZ)
  const envelope = createVoiceEnvelope(POINTS, ENVELOPE_RATE_HZ)
  const powers = new Float64Array(envelope.frequenciesHz.length)
  const sums = new Float64Array(powers.length)
  createFramer(POINTS, POINTS / 2).add(samples, samples.length, (frame) => {
    spectrum.measure(frame)
    envelope.measure(spectrum, pitchHz, powers)
    for (let i = 0; i < sums.length; i++) sums[i] += powers[i]
  })
  return Array.from(sums, (sum) => 10 * Math.log10(sum))
}

function peaksHz(levelsDb: readonly number[]): number[] {
  const peaks: number[] = []
  for (let i = 1; i + 1 < levelsDb.length; i++) {
    const [before, at, after] = [levelsDb[i - 1], levelsDb[i], levelsDb[i + 1]]
    if (at > before && at >= after) {
      peaks.push(envelopeFrequencyHz(i + (before - after) / (2 * (before - 2 * at + after))))
    }
  }
  return peaks
}

export interface FormantError {
  /** 1 for F1. */
  readonly formant: number
  readonly wantedHz: number
  /** Of the nearest peak. */
  readonly offHz: number
  readonly toleranceHz: number
}

/** Of those formants that harmonics can part: two that few of them part make one hump. */
export function formantErrors(
  levelsDb: readonly number[],
  formantsHz: readonly number[],
  pitchHz: number,
): FormantError[] {
  const peaks = peaksHz(levelsDb)
  return formantsHz.flatMap((wantedHz, i) => {
    if (i > 0 && wantedHz - formantsHz[i - 1] < 2.7 * pitchHz) return []
    const nearest = peaks.reduce((a, b) => (Math.abs(b - wantedHz) < Math.abs(a - wantedHz) ? b : a))
    const toleranceHz = Math.max(0.04 * wantedHz, 0.55 * pitchHz)
    return [{ formant: i + 1, wantedHz, offHz: nearest - wantedHz, toleranceHz }]
  })
}
