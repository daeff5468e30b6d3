// The figures of a voice that are followed from session to session, read from the analysis of its takes. The
// response of the mic is taken out of those that depend on it.

import { micLevelsDb } from '../analysis/mic-levels.ts'
import type { BandLevels } from '../analysis/spectra/long-term-spectrum.ts'
import { THIRD_OCTAVES } from '../analysis/spectra/third-octaves.ts'
import { voiceBandsOf } from '../analysis/spectra/voice-bands.ts'
import type { Curve } from '../correction/curve.ts'
import { medianOf } from './usual.ts'

/** In the order in which they are shown. */
export const SEASON_FIGURES = [
  'level',
  'pitch-low',
  'pitch',
  'pitch-high',
  'low',
  'mud',
  'nasal',
  'harsh',
  'sibilance',
  'air',
] as const
export type SeasonFigure = (typeof SEASON_FIGURES)[number]

/** What of a take's analysis the figures are made of. */
export interface SeasonTake {
  readonly voiceLevelDbfs: number
  readonly fundamental: { readonly p5Hz: number; readonly medianHz: number; readonly p95Hz: number }
  readonly levelsDbfs: BandLevels
  readonly sibilance: { readonly peakHz: number | null; readonly upperRatioDb: number | null }
}

/**
 * Pitch in semitones over 440 Hz, level in dBFS, balances in dB as VoiceBands has them (low is warmth), sibilance as
 * the upper quartile of its ratio to the vowels in dB. null where the material or the mic's curve lacks a value.
 */
export type FigureValues = Readonly<Record<SeasonFigure, number | null>>

/** Semitones over 440 Hz, the A of ISO 16. */
const semitonesOf = (hz: number): number => 12 * Math.log2(hz / 440)

/** Whether the response of the mic is part of a figure. */
export const dependsOnMic = (figure: SeasonFigure): boolean => !figure.startsWith('pitch')

/**
 * The deviation that is normal for one person from session to session: 1 semitone, 2 dB (Brown, Morris and Murry,
 * Journal of Voice 10(1), 1996).
 */
export const floorOf = (figure: SeasonFigure): number => (figure.startsWith('pitch') ? 1 : 2)

/** @param mic null leaves the take as it was recorded */
export function figuresOfTake(take: SeasonTake, mic: Curve | null): FigureValues {
  const { fundamental, sibilance, voiceLevelDbfs } = take
  const micDb =
    mic && micLevelsDb(mic, [...THIRD_OCTAVES.map(({ midHz }) => midHz), sibilance.peakHz ?? 1000])
  const bands = voiceBandsOf(take.levelsDbfs.map((level, i) => less(level, micDb, i)))
  return {
    level: voiceLevelDbfs,
    'pitch-low': semitonesOf(fundamental.p5Hz),
    pitch: semitonesOf(fundamental.medianHz),
    'pitch-high': semitonesOf(fundamental.p95Hz),
    low: bands.warmthDb,
    mud: bands.mudDb,
    nasal: bands.nasalDb,
    harsh: bands.harshDb,
    sibilance: sibilance.peakHz === null ? null : less(sibilance.upperRatioDb, micDb, THIRD_OCTAVES.length),
    air: bands.airDb,
  }
}

function less(level: number | null, micDb: readonly (number | null)[] | null, at: number): number | null {
  if (level === null || micDb === null) return level
  const mic = micDb[at]
  return mic === null ? null : level - mic
}

/** One figure of a session: the median of its takes, and their range. */
interface FigureOfSession {
  readonly value: number
  readonly lowest: number
  readonly highest: number
}

/** null if no take has a value. */
export function figureOfSession(
  figure: SeasonFigure,
  takes: readonly FigureValues[],
): FigureOfSession | null {
  const values = takes.map((take) => take[figure]).filter((value) => value !== null)
  if (values.length === 0) return null
  return { value: medianOf(values), lowest: Math.min(...values), highest: Math.max(...values) }
}
