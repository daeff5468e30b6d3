// Predicts what the analysis of an earlier take would be with today's mic, so that comparing takes shows
// changes of the voice and not of the mic.

import type { Curve } from '../correction/curve.ts'
import { micLevelsDb } from './mic-levels.ts'
import { THIRD_OCTAVES } from './spectra/third-octaves.ts'
import { voiceBandsOf } from './spectra/voice-bands.ts'
import type { VoiceAnalysed } from './voice-analysis.ts'
import { envelopeFrequencyHz } from './voice-envelope.ts'

/**
 * Converts spectrum, envelope, balances and the strength of the sibilants to another mic. Absolute levels,
 * pitch, and the lists of sibilants and resonances stay those of the take. A third octave that one of the
 * curves does not cover becomes null; the envelope, which must not have gaps, stays unchanged there.
 */
export function onAnotherMic(analysis: VoiceAnalysed, from: Curve, to: Curve): VoiceAnalysed {
  const changesDb = (frequenciesHz: readonly number[]): readonly (number | null)[] => {
    const before = micLevelsDb(from, frequenciesHz)
    return micLevelsDb(to, frequenciesHz).map((after, i) => {
      const old = before[i]
      return after === null || old === null ? null : after - old
    })
  }
  const { spectrum, envelopeDb, sibilance } = analysis
  const inBandsDb = changesDb(THIRD_OCTAVES.map(({ midHz }) => midHz))
  const inEnvelopeDb = changesDb(envelopeDb.map((_, i) => envelopeFrequencyHz(i)))
  const levelsDbfs = spectrum.levelsDbfs.map((level, i) => plus(level, inBandsDb[i]))
  const atPeakDb = sibilance.peakHz === null ? null : changesDb([sibilance.peakHz])[0]
  return {
    ...analysis,
    spectrum: { ...spectrum, levelsDbfs },
    bands: voiceBandsOf(levelsDbfs),
    envelopeDb: envelopeDb.map((level, i) => level + (inEnvelopeDb[i] ?? 0)),
    sibilance: {
      ...sibilance,
      ratioDb: plus(sibilance.ratioDb, atPeakDb),
      upperRatioDb: plus(sibilance.upperRatioDb, atPeakDb),
    },
  }
}

/** The sum, or null if either is null. */
const plus = (a: number | null, b: number | null): number | null => (a === null || b === null ? null : a + b)
