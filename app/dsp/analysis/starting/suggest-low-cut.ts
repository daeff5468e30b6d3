// Where the low-cut starts: under the lowest notes of the voice.

import { thirdOctaveAt } from '../spectra/third-octaves.ts'
import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, hertz, type Proposal } from './proposal.ts'

/** Share of the pitch that 5 % of the voiced time lies under (dsp-notes 2.2). */
const SHARE_OF_P5 = 0.7
const LOWEST_HZ = 40
const HIGHEST_HZ = 110
const STEP_HZ = 5
/** Rumble this little under the voice asks for the steeper slope (ours). */
const STRONG_RUMBLE_DB = -45

export function suggestLowCut({ fundamental, noise, voiceLevelDbfs }: VoiceAnalysed): Proposal {
  const frequencyHz =
    STEP_HZ * Math.round(clamp(SHARE_OF_P5 * fundamental.p5Hz, LOWEST_HZ, HIGHEST_HZ) / STEP_HZ)
  const evidence = [
    `5 % of the pitch lies under ${hertz(fundamental.p5Hz)}, so the low-cut starts at ${hertz(frequencyHz)}.`,
  ]
  const rumbleDbfs = noise?.levelsDbfs[thirdOctaveAt(50)] ?? null
  const rumbleDb = rumbleDbfs === null ? null : rumbleDbfs - voiceLevelDbfs
  const isStrong = rumbleDb !== null && rumbleDb > STRONG_RUMBLE_DB
  if (isStrong) {
    evidence.push(
      `In the pauses the 50 Hz band lies ${(-rumbleDb).toFixed(0)} dB under the voice, so the slope is 24 dB per octave.`,
    )
  }
  return {
    stage: { kind: 'low-cut', settings: { frequencyHz, slopeDbPerOctave: isStrong ? 24 : 12 } },
    evidence,
    confidence: confidenceFrom(fundamental.voicedSeconds),
  }
}
