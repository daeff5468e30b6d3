// The spectral balance of a voice, as differences between bands in dB, which mean little by
// themselves and much in comparison with the same voice's earlier takes. The bands have the trade's
// names; their ranges are common practice.

import type { BandLevels } from './long-term-spectrum.ts'
import { THIRD_OCTAVES } from './third-octaves.ts'

/** Ranges are nominal third octaves, both ends included; null if the rate or the material lacks a band. */
export interface VoiceBands {
  /** 100 to 250 Hz against 0.63 to 2 kHz: falls with the distance to a directional mic. */
  readonly warmthDb: number | null
  /** 200 to 500 Hz against 0.63 to 2 kHz. */
  readonly mudDb: number | null
  /** 400 to 800 Hz against its neighbours, 200 to 315 and 1000 to 1600 Hz. */
  readonly boxyDb: number | null
  /** 0.8 to 1.6 kHz against 500 to 630 Hz. */
  readonly nasalDb: number | null
  /** 2 to 5 kHz against 315 Hz to 1 kHz. */
  readonly harshDb: number | null
  /** 10 to 16 kHz against 315 Hz to 1 kHz. */
  readonly airDb: number | null
}

/** @param levelsDbfs one per third octave of THIRD_OCTAVES */
export function voiceBandsOf(levelsDbfs: BandLevels): VoiceBands {
  const between = (...ranges: readonly (readonly [number, number])[]) => meanLevel(levelsDbfs, ranges)
  const difference = (above: number | null, below: number | null): number | null =>
    above === null || below === null ? null : above - below
  const middle = between([630, 2000])
  const body = between([315, 1000])
  return {
    warmthDb: difference(between([100, 250]), middle),
    mudDb: difference(between([200, 500]), middle),
    boxyDb: difference(between([400, 800]), between([200, 315], [1000, 1600])),
    nasalDb: difference(between([800, 1600]), between([500, 630])),
    harshDb: difference(between([2000, 5000]), body),
    airDb: difference(between([10_000, 16_000]), body),
  }
}

/** Mean level of the third octaves with nominal frequencies in the ranges, both ends included. */
function meanLevel(
  levelsDbfs: BandLevels,
  ranges: readonly (readonly [fromHz: number, toHz: number])[],
): number | null {
  let sum = 0
  let count = 0
  for (const [i, { nominalHz }] of THIRD_OCTAVES.entries()) {
    if (!ranges.some(([fromHz, toHz]) => nominalHz >= fromHz && nominalHz <= toHz)) continue
    const levelDbfs = levelsDbfs[i]
    if (levelDbfs === null) return null
    sum += levelDbfs
    count++
  }
  return sum / count
}
