// A setting to start from, with the figures behind it. The user auditions it and
// applies it; nothing is applied automatically.

import type { StageSetup } from '../../stages/settings.ts'

/** A stage with suggested settings. */
export interface Proposal {
  readonly stage: StageSetup
  /** Sentences: what was measured, and what follows from it. */
  readonly evidence: readonly string[]
  /** 0 to 1: how much voice there was, and how steadily it showed. */
  readonly confidence: number
}

/** Voice enough to be as sure as can be: a long-term spectrum has settled (after 30 to 40 s: Nordenberg and Sundberg, names from memory). */
const SETTLED_SECONDS = 30

/** @param seconds of voice @param persistence share of them in which the finding shows, 0 to 1 */
export function confidenceFrom(seconds: number, persistence = 1): number {
  return persistence * Math.min(1, seconds / SETTLED_SECONDS)
}

/** `value` held between two bounds. */
export function clamp(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value))
}

/** 980 Hz, 3.7 kHz. */
export function hertz(frequencyHz: number): string {
  return frequencyHz < 1000 ? `${Math.round(frequencyHz)} Hz` : `${(frequencyHz / 1000).toFixed(1)} kHz`
}
