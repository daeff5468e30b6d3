// Suggests low-cut settings: below the lowest notes of the voice.

import { thirdOctaveAt } from '../spectra/third-octaves.ts'
import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, type Evidence, type ProposalOf } from './proposal.ts'

/** Cut-off as a share of the 5th percentile of the pitch. */
const SHARE_OF_P5 = 0.7
const LOWEST_HZ = 40
const HIGHEST_HZ = 110
const STEP_HZ = 5
/** Rumble above this level relative to the voice gets the steeper slope (our choice). */
const STRONG_RUMBLE_DB = -45

export function suggestLowCut({ fundamental, noise, voiceLevelDbfs }: VoiceAnalysed): ProposalOf<'low-cut'> {
  const frequencyHz =
    STEP_HZ * Math.round(clamp(SHARE_OF_P5 * fundamental.p5Hz, LOWEST_HZ, HIGHEST_HZ) / STEP_HZ)
  const evidence: Evidence[] = [{ kind: 'pitch-range', p5Hz: fundamental.p5Hz, frequencyHz }]
  const rumbleDbfs = noise?.levelsDbfs[thirdOctaveAt(50)] ?? null
  const rumbleDb = rumbleDbfs === null ? null : rumbleDbfs - voiceLevelDbfs
  const isStrong = rumbleDb !== null && rumbleDb > STRONG_RUMBLE_DB
  const slopeDbPerOctave = isStrong ? 24 : 12
  if (isStrong) evidence.push({ kind: 'rumble', underVoiceDb: -rumbleDb, slopeDbPerOctave })
  return {
    stage: { kind: 'low-cut', settings: { frequencyHz, slopeDbPerOctave } },
    evidence,
    confidence: confidenceFrom(fundamental.voicedSeconds),
  }
}
