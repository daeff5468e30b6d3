// How an earlier take would read had it been recorded with the mic of today, so that a voice
// is held against its own history and not against its old mic.

import type { Curve } from '../curve.ts'
import { micReader } from './mic-reader.ts'
import { THIRD_OCTAVES } from './third-octaves.ts'
import type { VoiceAnalysed } from './voice-analysis.ts'
import { voiceBandsOf } from './voice-bands.ts'
import { envelopeFrequencyHz } from './voice-envelope.ts'

/**
 * Spectra, envelope, balances and the strength of the sibilants through another mic. Levels by themselves, pitch,
 * and the list of sibilants and resonances stay those of the take. A third octave that one of the curves does
 * not reach becomes null; the envelope, which has no gaps, stays as it is there.
 */
export function onAnotherMic(analysis: VoiceAnalysed, from: Curve, to: Curve): VoiceAnalysed {
  const fromDb = micReader(from)
  const toDb = micReader(to)
  const changeDb = (frequencyHz: number): number | null => {
    const before = fromDb(frequencyHz)
    const after = toDb(frequencyHz)
    return before === null || after === null ? null : after - before
  }
  const { spectrum, envelopeDb, sibilance } = analysis
  const levelsDbfs = spectrum.levelsDbfs.map((level, i) => {
    const change = changeDb(THIRD_OCTAVES[i].midHz)
    return level === null || change === null ? null : level + change
  })
  const atPeakDb = sibilance.peakHz === null ? null : changeDb(sibilance.peakHz)
  const moved = (ratioDb: number | null): number | null =>
    ratioDb === null || atPeakDb === null ? null : ratioDb + atPeakDb
  return {
    ...analysis,
    spectrum: { ...spectrum, levelsDbfs },
    bands: voiceBandsOf(levelsDbfs),
    envelopeDb: envelopeDb.map((level, i) => level + (changeDb(envelopeFrequencyHz(i)) ?? 0)),
    sibilance: {
      ...sibilance,
      ratioDb: moved(sibilance.ratioDb),
      upperRatioDb: moved(sibilance.upperRatioDb),
    },
  }
}
