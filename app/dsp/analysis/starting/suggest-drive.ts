// Suggests slight drive for a dark voice in a quiet room: harmonics add edge where an equaliser would have
// little to raise. It is a matter of taste, so its confidence stays below that of a measured fault.

import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, type ProposalOf } from './proposal.ts'

/** 2 to 5 kHz against 315 Hz to 1 kHz, from which a voice is dark, and very dark (our choice). */
const DARK_DB = -12
const VERY_DARK_DB = -18
/** Drive lifts what is soft, and with it the noise (our choice). */
const MIN_SNR_DB = 40
const SLIGHT_DB = 2
const MORE_DB = 3
const TASTE = 0.6

/** null for a voice with enough edge, or where the noise of the pauses is not known or too near. */
export function suggestDrive(analysis: VoiceAnalysed): ProposalOf<'drive'> | null {
  const { bands, noise, voiceLevelDbfs, loudLevelDbfs, fundamental } = analysis
  if (bands.harshDb === null || bands.harshDb > DARK_DB || noise === null) return null
  const snrDb = voiceLevelDbfs - noise.levelDbfs
  if (snrDb < MIN_SNR_DB) return null
  const amountDb = bands.harshDb > VERY_DARK_DB ? SLIGHT_DB : MORE_DB
  const referenceDbfs = Math.round(clamp(loudLevelDbfs, -48, 0))
  return {
    stage: {
      kind: 'drive',
      settings: { amountDb, referenceDbfs, evenPercent: 20, mixPercent: 100, outputDb: 0 },
    },
    evidence: [{ kind: 'dark-voice', edgeDb: bands.harshDb, snrDb, amountDb }],
    confidence: confidenceFrom(fundamental.voicedSeconds, TASTE),
  }
}
