// Whether what sounds can be one voice, and is enough to judge: the check says so instead
// of guessing about silence, music or a third of a second.

import type { Finding } from '../meters/take-findings.ts'

/** Less sound than this is not judged. */
export const LEAST_SOUND_SECONDS = 1
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
        meaning: `Only ${material.soundSeconds.toFixed(1)} s sound here: too little to judge noise floor, hum, clicks, polarity or compression.`,
        remedy: 'Nothing has to be done; judge it by ear, or take in a longer piece of the recording.',
      }
    case 'no-pause':
      return {
        kind: 'not-one-voice',
        value: material.seconds,
        unit: 's',
        threshold: LONGEST_BREATH_SECONDS,
        atSeconds: [],
        meaning: `It sounds for ${material.seconds.toFixed(0)} s without a pause in which a floor could be read: music, a mix or noise, not one voice, so what depends on a voice was not judged.`,
        remedy:
          'If it should be a vocal take, check that the right track was exported, without reverb and backing.',
      }
    case 'low':
      return {
        kind: 'not-one-voice',
        value: material.lowAgainstVoiceDb ?? 0,
        unit: 'dB',
        threshold: LOW_AGAINST_VOICE_LIMIT_DB,
        atSeconds: [],
        meaning:
          'Nearly as much sounds below 80 Hz as in the range of a voice: music with kick and bass, or strong rumble, so what depends on a voice was not judged.',
        remedy:
          'If it is a vocal take, filter the rumble out and take it in again; otherwise check which track was exported.',
      }
    default:
      return null
  }
}
