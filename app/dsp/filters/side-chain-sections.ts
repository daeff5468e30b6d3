// The Butterworth cuts that limit a detector to its band.

import { cookbookHighPass, warp } from './cookbook.ts'
import type { SvfCoefficients } from './svf.ts'

/** Butterworth sections of order 2 or 4; the corner is the -3.01 dB point. */
export function sideChainHighPass(
  cornerHz: number,
  qs: readonly number[],
  sampleRateHz: number,
): SvfCoefficients[] {
  return qs.map((q) => cookbookHighPass(cornerHz, q, sampleRateHz))
}

/** As above; the corner is clamped below half the sample rate. */
export function sideChainLowPass(
  cornerHz: number,
  qs: readonly number[],
  sampleRateHz: number,
): SvfCoefficients[] {
  return qs.map((q) => ({ g: warp(cornerHz, sampleRateHz), k: 1 / q, m0: 0, m1: 0, m2: 1 }))
}
