// The bilinear designs of the W3C Audio EQ Cookbook (8 June 2021), written directly
// in state-variable form. They are exact at their frequency and cramped toward half
// the sample rate; matched.ts starts from them.

import type { Band } from '../stages/settings.ts'
import { cookbookA } from './prototypes.ts'
import type { SvfCoefficients } from './svf.ts'

/** Frequencies at or above half the sample rate have no bilinear image; they are clamped below it. */
const HIGHEST_SHARE_OF_RATE = 0.49

/** tan(pi f / fs), the bilinear transform's frequency. */
export function warp(frequencyHz: number, sampleRateHz: number): number {
  return Math.tan(Math.PI * Math.min(frequencyHz / sampleRateHz, HIGHEST_SHARE_OF_RATE))
}

/** The cookbook's section of a band. At 0 dB it gives y = x bit for bit. */
export function cookbookBand(band: Band, sampleRateHz: number): SvfCoefficients {
  const a = cookbookA(band.gainDb)
  const root = Math.sqrt(a)
  const g = warp(band.frequencyHz, sampleRateHz)
  switch (band.shape) {
    case 'bell': {
      const k = 1 / (band.q * a)
      return { g, k, m0: 1, m1: k * (a * a - 1), m2: 0 }
    }
    case 'low-shelf': {
      const k = 1 / band.q
      return { g: g / root, k, m0: 1, m1: k * (a - 1), m2: a * a - 1 }
    }
    case 'high-shelf': {
      const k = 1 / band.q
      return { g: g * root, k, m0: a * a, m1: k * (1 - a) * a, m2: 1 - a * a }
    }
  }
}

/** The cookbook's high-pass. */
export function cookbookHighPass(cornerHz: number, q: number, sampleRateHz: number): SvfCoefficients {
  const k = 1 / q
  return { g: warp(cornerHz, sampleRateHz), k, m0: 1, m1: -k, m2: -1 }
}
