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
 * What the voice has done so far, against which a sibilant is hot or soft. The loud voice is followed within a
 * syllable and hot sibilants within a part of one. While the voice is there its level fades, so that a voice that
 * grows quieter is known anew within seconds, and the level of hot sibilants falls with it. In pauses the fade is
 * slow, so that both are remembered over a rest of minutes. Sibilants under the hot ones make these fade as well,
 * so that one odd sound does not count for the rest of a take (all our choice).
 */
const LOUD_VOICE_SECONDS = 0.05
const HOT_SIBILANT_SECONDS = 0.02
const FADE_DB_PER_SECOND = 1.5
const FADE_IN_PAUSES_DB_PER_SECOND = 0.05
/** In a second of sibilance, of which speech has one in about ten. */
const FORGET_DB_PER_SECOND = 2
/** Sound that is further below is a pause. */
const PRESENT_DB = 40
/**
 * Hot sibilants are taken to be at least this loud beside the voice. Of 22 recorded voices the loudest quarter were
 * at -19 to +14 dB (measured): until a hot one has been heard, a soft sibilant of a bright voice is like a hot one of a
 * dull voice, and neither is spared.
 */
const HOT_UNDER_VOICE_DB = 19

type ThreeSections = readonly [SvfCoefficients, SvfCoefficients, SvfCoefficients]

interface SibilanceBands {
  readonly sibilantBand: ThreeSections
  readonly voiceBand: ThreeSections
  /** Smoothing coefficients of the power followers. */
  readonly attackA: number
  readonly sibilantReleaseA: number
  readonly voiceReleaseA: number
  /** Smoothing coefficients of the levels remembered, upward. */
  readonly loudVoiceA: number
  readonly hotSibilantA: number
  /** What is kept per frame of the loud voice's power while the voice is there, and in pauses. */
  readonly fade: number
  readonly fadeInPauses: number
  /** What is kept of the hot sibilants' power per frame of softer ones. */
  readonly forget: number
  /** Share of the remembered power under which a moment is a pause. */
  readonly present: number
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
    fadeInPauses: 10 ** (-FADE_IN_PAUSES_DB_PER_SECOND / (10 * sampleRateHz)),
    forget: 10 ** (-FORGET_DB_PER_SECOND / (10 * sampleRateHz)),
    present: 10 ** (-PRESENT_DB / 10),
    leastHot: 10 ** (-HOT_UNDER_VOICE_DB / 10),
  }
}
