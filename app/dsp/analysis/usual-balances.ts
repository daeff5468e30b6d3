// The usual balance of a voice: mean and spread of each band over its earlier takes.

import type { VoiceBands } from './spectra/voice-bands.ts'
import { type UsualSpread, usualSpreadOf } from './usual-spread.ts'
import type { VoiceAnalysed } from './voice-analysis.ts'

/** Expected standard deviation of a band's balance between takes of one voice, dB (our choice). */
const EXPECTED_SPREAD_DB = 0.9

/** null with fewer than two earlier takes that have a value for the band. */
export function usualBalanceOf(
  history: readonly VoiceAnalysed[],
  name: keyof VoiceBands,
): UsualSpread | null {
  const values = history.map((one) => one.bands[name]).filter((value) => value !== null)
  return usualSpreadOf(values, EXPECTED_SPREAD_DB)
}

/** Usual balance of every band; null as in usualBalanceOf. */
export function usualBalancesOf(history: readonly VoiceAnalysed[]): {
  readonly [K in keyof VoiceBands]: UsualSpread | null
} {
  return {
    warmthDb: usualBalanceOf(history, 'warmthDb'),
    mudDb: usualBalanceOf(history, 'mudDb'),
    boxyDb: usualBalanceOf(history, 'boxyDb'),
    nasalDb: usualBalanceOf(history, 'nasalDb'),
    harshDb: usualBalanceOf(history, 'harshDb'),
    airDb: usualBalanceOf(history, 'airDb'),
  }
}
