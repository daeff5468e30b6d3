// Decides whether the sound of a take can be one voice and is long enough to judge. The check
// reports that instead of guessing about silence, music or a third of a second of sound.

import type { Finding } from '../meters/finding.ts'

/** Less sound than this is not judged. */
const MIN_SOUND_SECONDS = 1
/** A take this long without a pause is not one singer, who would have to breathe. */
const MAX_BREATH_SECONDS = 8
/**
 * Usual power below 80 Hz that comes and goes with the sound, over the power from 150 Hz to 1 kHz: voices stay
 * under -15 dB, kick and bass come near 0 dB. Pops and rumble do not count.
 */
const LOW_AGAINST_VOICE_LIMIT_DB = -6

export interface Material {
  readonly seconds: number
  readonly floorDbfs: number | null
  readonly voiceDbfs: number | null
  readonly lowAgainstVoiceDb: number | null
  /** Seconds in which something sounds. */
  readonly soundSeconds: number
}

export type Doubt = 'none' | 'silent' | 'short' | 'no-pause' | 'low'

export function isOneVoice(material: Material): boolean {
  return doubtOf(material) === 'none'
}

export function doubtOf({ seconds, floorDbfs, voiceDbfs, lowAgainstVoiceDb, soundSeconds }: Material): Doubt {
  if (voiceDbfs === null) return 'silent'
  if (seconds < MIN_SOUND_SECONDS || (floorDbfs !== null && soundSeconds < MIN_SOUND_SECONDS)) return 'short'
  if (floorDbfs === null && seconds >= MAX_BREATH_SECONDS) return 'no-pause'
  return lowAgainstVoiceDb !== null && lowAgainstVoiceDb > LOW_AGAINST_VOICE_LIMIT_DB ? 'low' : 'none'
}

/** Why the take cannot be judged; null for a voice, and for digital silence, which has its own finding. */
export function materialFinding(material: Material): Finding | null {
  switch (doubtOf(material)) {
    case 'short':
      return {
        kind: 'too-short',
        value: -material.soundSeconds,
        unit: 's',
        threshold: -MIN_SOUND_SECONDS,
        atSeconds: [],
      }
    case 'no-pause':
      return {
        kind: 'not-one-voice',
        value: material.seconds,
        unit: 's',
        threshold: MAX_BREATH_SECONDS,
        atSeconds: [],
        because: 'no-pause',
      }
    case 'low':
      return {
        kind: 'not-one-voice',
        value: material.lowAgainstVoiceDb ?? 0,
        unit: 'dB',
        threshold: LOW_AGAINST_VOICE_LIMIT_DB,
        atSeconds: [],
        because: 'low-sound',
      }
    default:
      return null
  }
}
