// How sibilant the leader is at each moment: the ratio of the level from 4.5 to 10.5 kHz to
// the level from 0.2 to 4 kHz within the same few milliseconds. A ratio does not depend on
// the level into the stage.

import { butterworthQs } from '../filters/prototypes.ts'
import { sideChainHighPass, sideChainLowPass } from '../filters/side-chain-sections.ts'
import type { SvfCoefficients } from '../filters/svf.ts'
import { smoothingCoefficient } from '../maths/time-constant.ts'

const SIBILANT_FROM_HZ = 4500
const SIBILANT_TO_HZ = 10_500
const VOICE_FROM_HZ = 200
const VOICE_TO_HZ = 4000

// Both bands have the same attack, so that a glottal pulse does not look like an s, and the voice
// has the longer release, so that the end of a sound does not either.
const ATTACK_SECONDS = 0.001
const SIBILANT_RELEASE_SECONDS = 0.008
const VOICE_RELEASE_SECONDS = 0.01

/** Mean square of -84 dBFS: sound quieter than this does not count as sibilant. */
export const FLOOR_POWER = 10 ** -8.4
/** A constant power of -300 dB that keeps the followers out of denormal numbers. */
export const SILENT_POWER = 1e-30

/**
 * What the voice has done lately, against which a sibilant is hot or soft. The loud voice is followed within a
 * syllable and hot sibilants within a part of one; both fade slowly enough to bridge a phrase, and fast
 * enough for a voice that grows quieter to be known anew within seconds (our choice).
 */
const LOUD_VOICE_SECONDS = 0.05
const HOT_SIBILANT_SECONDS = 0.02
const FADE_DB_PER_SECOND = 1.5
/**
 * Hot sibilants are taken to be at least this loud: so a voice whose sibilants are all soft is left alone. Of
 * eight recorded voices the loudest quarter were 2 to 16 dB under the voice (measured).
 */
const HOT_UNDER_VOICE_DB = 16

type ThreeSections = readonly [SvfCoefficients, SvfCoefficients, SvfCoefficients]

interface SibilanceBands {
  readonly sibilantBand: ThreeSections
  readonly voiceBand: ThreeSections
  /** Smoothing coefficients of the power followers. */
  readonly attackA: number
  readonly sibilantReleaseA: number
  readonly voiceReleaseA: number
  /** The same of the recent powers: upward for loud voice and hot sibilants, and per frame downward for both. */
  readonly loudVoiceA: number
  readonly hotSibilantA: number
  readonly fade: number
  /** Least power of hot sibilants, as a share of the loud voice's. */
  readonly leastHot: number
}

/** Filters and followers of the detector at a sample rate. */
export function sibilanceBands(sampleRateHz: number): SibilanceBands {
  const steep = butterworthQs(24)
  const gentle = butterworthQs(12)
  return {
    sibilantBand: [
      ...sideChainHighPass(SIBILANT_FROM_HZ, steep, sampleRateHz),
      ...sideChainLowPass(SIBILANT_TO_HZ, gentle, sampleRateHz),
    ] as unknown as ThreeSections,
    voiceBand: [
      ...sideChainHighPass(VOICE_FROM_HZ, gentle, sampleRateHz),
      ...sideChainLowPass(VOICE_TO_HZ, steep, sampleRateHz),
    ] as unknown as ThreeSections,
    attackA: smoothingCoefficient(ATTACK_SECONDS, sampleRateHz),
    sibilantReleaseA: smoothingCoefficient(SIBILANT_RELEASE_SECONDS, sampleRateHz),
    voiceReleaseA: smoothingCoefficient(VOICE_RELEASE_SECONDS, sampleRateHz),
    loudVoiceA: smoothingCoefficient(LOUD_VOICE_SECONDS, sampleRateHz),
    hotSibilantA: smoothingCoefficient(HOT_SIBILANT_SECONDS, sampleRateHz),
    fade: 10 ** (-FADE_DB_PER_SECOND / (10 * sampleRateHz)),
    leastHot: 10 ** (-HOT_UNDER_VOICE_DB / 10),
  }
}
