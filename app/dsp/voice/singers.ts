// The voices of the demo and the tests. The people are invented; the ranges are those of
// ordinary voices (Traunmüller & Eriksson: typical F0 120 Hz for men, 210 Hz for women).
import type { Singer } from './performance.ts'

/** Jitter of 0.5 to 1 % and shimmer of 2 to 4 % are usual in healthy voices (from memory). */
const HEALTHY = { jitterPercent: 0.6, shimmerPercent: 2.5, driftCents: 6 } as const
/** Choir singers: vibrato of 5.1 Hz (Cuesta et al. 2018); depth by common practice. */
const SUNG = {
  ...HEALTHY,
  vibratoRateHz: 5.1,
  vibratoDepthCents: 42,
  scoopSemitones: 1.5,
  fallSemitones: 0.8,
  slideSemitones: 0,
  glideMs: 90,
  stressDb: 3,
  stressSemitones: 0,
} as const

/** A man rapping around 120 Hz. */
export const RAP_BARITONE: Singer = {
  ...HEALTHY,
  name: 'rap baritone',
  tract: 'men',
  formantScale: 1,
  tonicHz: 116,
  tiltHz: 1800,
  breathinessDb: -22,
  vibratoRateHz: 5.1,
  vibratoDepthCents: 0,
  scoopSemitones: 0.8,
  fallSemitones: 2.5,
  slideSemitones: 1.2,
  glideMs: 50,
  stressDb: 3.5,
  stressSemitones: 1.6,
}

/** The same man singing. */
export const SUNG_BARITONE: Singer = {
  ...SUNG,
  name: 'sung baritone',
  tract: 'men',
  formantScale: 1,
  tonicHz: 164.81,
  tiltHz: 2000,
  breathinessDb: -23,
}
