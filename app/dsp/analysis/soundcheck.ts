// Compares today's take with earlier takes of the same voice: which bands, and whether level, noise,
// distance or sibilance, are outside their usual spread. If the curve of every take's mic is
// known, it is subtracted from each, so that another mic alone raises no alarm.

import type { Curve } from '../correction/curve.ts'
import { micLevelsDb } from './mic-levels.ts'
import { THIRD_OCTAVES, thirdOctaveAt } from './spectra/third-octaves.ts'
import { voiceBandsOf } from './spectra/voice-bands.ts'
import { FEWEST_EARLIER_TAKES, type UsualSpread, usualSpreadOf } from './usual-spread.ts'
import type { VoiceAnalysed } from './voice-analysis.ts'

/** One take in the comparison. */
export interface SoundcheckTake {
  readonly analysis: VoiceAnalysed
  /** Response of the mic it was recorded with; null if it is not known. */
  readonly micCurve: Curve | null
}

interface SoundcheckMeasure {
  readonly name: 'band' | 'level' | 'noise-floor' | 'distance' | 'sibilance'
  /** Nominal frequency of a third octave, for bands. */
  readonly frequencyHz: number | null
  /** dB: bands relative to the mean of 315 Hz to 3.15 kHz, level in dBFS, noise relative to the voice… */
  readonly today: number
  readonly usual: UsualSpread
  readonly isUnusual: boolean
}

/** Outcome of the comparison. */
export type Soundcheck =
  | {
      readonly outcome: 'compared'
      readonly earlierTakes: number
      /** Whether the mics' curves were subtracted; false if one of them is not known. */
      readonly isMicTakenOut: boolean
      /** Bands in order of frequency, then the measures of the whole take. */
      readonly measures: readonly SoundcheckMeasure[]
    }
  | { readonly outcome: 'not-enough-history'; readonly earlierTakes: number; readonly neededTakes: number }

/** Prior standard deviations between takes of one voice, dB (our choice). */
const EXPECTED = { band: 1, level: 2, 'noise-floor': 2, distance: 1, sibilance: 1 } as const
/** Bands where the noise is closer to the voice than this are ignored. */
const MIN_SNR_DB = 6
const REFERENCE_FROM = thirdOctaveAt(315)
const REFERENCE_TO = thirdOctaveAt(3150)

/** Compares today's take with earlier takes of the same voice, in any order. */
export function compareWithHistory(today: SoundcheckTake, earlier: readonly SoundcheckTake[]): Soundcheck {
  if (earlier.length < FEWEST_EARLIER_TAKES) {
    return {
      outcome: 'not-enough-history',
      earlierTakes: earlier.length,
      neededTakes: FEWEST_EARLIER_TAKES,
    }
  }
  const isMicTakenOut = [today, ...earlier].every(({ micCurve }) => micCurve !== null)
  const now = readTake(today, isMicTakenOut)
  const before = earlier.map((take) => readTake(take, isMicTakenOut))
  const lowestHz = Math.min(...[today, ...earlier].map(({ analysis }) => analysis.fundamental.p5Hz))
  const bands = THIRD_OCTAVES.map((band, i) =>
    band.upperHz < lowestHz
      ? null
      : measure(
          'band',
          band.nominalHz,
          now.bandsDb[i],
          before.map((take) => take.bandsDb[i]),
        ),
  ).filter((one) => one !== null)
  const others = (['level', 'noise-floor', 'distance', 'sibilance'] as const)
    .map((name) =>
      measure(
        name,
        null,
        now[name],
        before.map((take) => take[name]),
      ),
    )
    .filter((one) => one !== null)
  return {
    outcome: 'compared',
    earlierTakes: earlier.length,
    isMicTakenOut,
    measures: [...bands, ...others],
  }
}

interface ReadTake {
  /** Per third octave, relative to the mean of 315 Hz to 3.15 kHz. */
  readonly bandsDb: readonly (number | null)[]
  readonly level: number
  /** Relative to the voice. */
  readonly 'noise-floor': number | null
  readonly distance: number | null
  readonly sibilance: number | null
}

function readTake({ analysis, micCurve }: SoundcheckTake, isMicTakenOut: boolean): ReadTake {
  const { spectrum, noise, sibilance, voiceLevelDbfs } = analysis
  const micDb = (frequenciesHz: readonly number[]): readonly (number | null)[] =>
    isMicTakenOut && micCurve !== null ? micLevelsDb(micCurve, frequenciesHz) : frequenciesHz.map(() => 0)
  const micInBands = micDb(THIRD_OCTAVES.map(({ midHz }) => midHz))
  const levels = spectrum.levelsDbfs.map((level, i) => {
    const quiet = noise?.levelsDbfs[i] ?? null
    const mic = micInBands[i]
    if (level === null || mic === null || (quiet !== null && level - quiet < MIN_SNR_DB)) return null
    return level - mic
  })
  const middle = levels.slice(REFERENCE_FROM, REFERENCE_TO + 1).filter((level) => level !== null)
  const reference = middle.reduce((sum, level) => sum + level, 0) / middle.length
  const micAtPeak = sibilance.peakHz === null ? null : micDb([sibilance.peakHz])[0]
  return {
    bandsDb: levels.map((level) => (level === null || middle.length === 0 ? null : level - reference)),
    level: voiceLevelDbfs,
    'noise-floor': noise === null ? null : noise.levelDbfs - voiceLevelDbfs,
    distance: voiceBandsOf(levels).warmthDb,
    sibilance:
      sibilance.upperRatioDb === null || micAtPeak === null ? null : sibilance.upperRatioDb - micAtPeak,
  }
}

function measure(
  name: SoundcheckMeasure['name'],
  frequencyHz: number | null,
  today: number | null,
  before: readonly (number | null)[],
): SoundcheckMeasure | null {
  const usual = usualSpreadOf(
    before.filter((value) => value !== null),
    EXPECTED[name],
  )
  if (today === null || usual === null) return null
  return {
    name,
    frequencyHz,
    today,
    usual,
    isUnusual: Math.abs(today - usual.mean) > usual.limit,
  }
}
