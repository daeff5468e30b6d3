// Whether what sounds can be one voice, and is enough to judge: the check says so instead
// of guessing about silence, music or a third of a second.

import type { Finding } from '../meters/finding.ts'

/** Less sound than this is not judged. */
const LEAST_SOUND_SECONDS = 1
/** A take without a pause in this time was not sung by somebody who breathes. */
const LONGEST_BREATH_SECONDS = 8
/** Of the energy below 80 Hz against that from 150 Hz to 1 kHz: voices stay under -15 dB, kick and bass come near 0. */
const LOW_AGAINST_VOICE_LIMIT_DB = -6

export interface Material {
  readonly seconds: number
  readonly floorDbfs: number | null
  readonly voiceDbfs: number | null
  readonly lowAgainstVoiceDb: number | null
  /** Seconds in which something sounds. */
  readonly soundSeconds: number
}

type Doubt = 'none' | 'silent' | 'short' | 'no-pause' | 'low'

export function isOneVoice(material: Material): boolean {
  return doubtOf(material) === 'none'
}

function doubtOf({ seconds, floorDbfs, voiceDbfs, lowAgainstVoiceDb, soundSeconds }: Material): Doubt {
  if (voiceDbfs === null) return 'silent'
  if (seconds < LEAST_SOUND_SECONDS || (floorDbfs !== null && soundSeconds < LEAST_SOUND_SECONDS))
    return 'short'
  if (floorDbfs === null && seconds >= LONGEST_BREATH_SECONDS) return 'no-pause'
  return lowAgainstVoiceDb !== null && lowAgainstVoiceDb > LOW_AGAINST_VOICE_LIMIT_DB ? 'low' : 'none'
}

/** What keeps the take from being judged; null for a voice, and for digital silence, which has a finding of its own. */
export function materialFinding(material: Material): Finding | null {
  switch (doubtOf(material)) {
    case 'short':
      return {
        kind: 'too-short',
        value: -material.soundSeconds,
        unit: 's',
        threshold: -LEAST_SOUND_SECONDS,
        atSeconds: [],
      }
    case 'no-pause':
      return {
        kind: 'not-one-voice',
        value: material.seconds,
        unit: 's',
        threshold: LONGEST_BREATH_SECONDS,
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
