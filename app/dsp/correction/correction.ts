// Mic correction: the few bands that bring one microphone's curve to another one's.
// It matches level over frequency on the axis, and nothing else of a microphone.

import { bandsResponseDb } from '../filters/response.ts'
import type { Band } from '../stages/settings.ts'
import type { Curve } from './curve.ts'
import { fitBands } from './fit-bands.ts'
import { type WantedRequest, wantedCurve } from './wanted-curve.ts'

export interface CorrectionRequest extends WantedRequest {
  /** The most bands, shelves included; 8 reach the figures on smooth curves. */
  readonly maxBands: number
  /** Rate at which the bands will run. */
  readonly sampleRateHz: number
}

export interface Correction {
  /** In ascending frequency; none when the curves agree. */
  readonly bands: Band[]
  /** What was asked for: smoothed, bounded, 0 dB where a curve has no data. */
  readonly wanted: Curve
  /** What the bands do at the sample rate, at the same frequencies. */
  readonly fitted: Curve
  /** Of fitted - wanted over 50 Hz to 16 kHz where both curves have data, even over log f. */
  readonly rmsErrorDb: number
  readonly maxErrorDb: number
}

/** Differences that stay below this are within the spread of any two units of one mic. */
const NEGLIGIBLE_DB = 0.2
/** Beyond the data the fit is free for half an octave, then drawn toward 0 dB. */
const FREE_OCTAVES = 0.5
const OUTSIDE_WEIGHT = 0.3
const ERROR_RANGE_HZ = [50, 16000] as const

/**
 * Fits a correction.
 * @throws RangeError when the curves and the range share less than one octave
 */
export function fitCorrection(request: CorrectionRequest): Correction {
  const topHz = (request.sampleRateHz / 2) * (20000 / 22050)
  const { curve: wanted, fromHz, toHz } = wantedCurve(request, topHz)
  const weights = Float64Array.from(wanted.frequenciesHz, (frequencyHz) => {
    const octavesOutside = Math.max(Math.log2(fromHz / frequencyHz), Math.log2(frequencyHz / toHz))
    if (octavesOutside <= 1e-9) return 1
    return octavesOutside < FREE_OCTAVES ? 0 : OUTSIDE_WEIGHT
  })
  const isFlat = wanted.levelsDb.every((levelDb) => Math.abs(levelDb) < NEGLIGIBLE_DB)
  const bands = isFlat
    ? []
    : fitBands({
        curve: wanted,
        weights,
        fromHz,
        toHz,
        maxBands: request.maxBands,
        maxBoostDb: request.maxBoostDb,
        maxCutDb: request.maxCutDb,
      })
  const levelsDb = [...bandsResponseDb(bands, wanted.frequenciesHz, request.sampleRateHz)]
  const fitted = { frequenciesHz: wanted.frequenciesHz, levelsDb }
  const errorFromHz = Math.max(fromHz, ERROR_RANGE_HZ[0]) * (1 - 1e-9)
  const errorToHz = Math.min(toHz, ERROR_RANGE_HZ[1]) * (1 + 1e-9)
  return { bands, wanted, fitted, ...errorsOf(wanted, fitted, errorFromHz, errorToHz) }
}

function errorsOf(
  wanted: Curve,
  fitted: Curve,
  fromHz: number,
  toHz: number,
): { rmsErrorDb: number; maxErrorDb: number } {
  let squares = 0
  let count = 0
  let maxErrorDb = 0
  wanted.frequenciesHz.forEach((frequencyHz, i) => {
    if (frequencyHz < fromHz || frequencyHz > toHz) return
    const errorDb = fitted.levelsDb[i] - wanted.levelsDb[i]
    squares += errorDb * errorDb
    count++
    maxErrorDb = Math.max(maxErrorDb, Math.abs(errorDb))
  })
  return { rmsErrorDb: count > 0 ? Math.sqrt(squares / count) : 0, maxErrorDb }
}
