// Mic correction: the few bands that bring one microphone's curve to another one's.
// It matches the on-axis frequency response and no other property of the mic.

import { bandsResponseDb } from '../filters/response.ts'
import type { Band } from '../stages/settings.ts'
import { correctionTarget, type TargetRequest } from './correction-target.ts'
import type { Curve } from './curve.ts'
import { fitBands } from './fit-bands.ts'

/** What to fit, and with how many bands. */
export interface CorrectionRequest extends TargetRequest {
  /** The most bands, shelves included; 8 reach the specified accuracy on smooth curves. */
  readonly maxBands: number
  /** Rate at which the bands will run. */
  readonly sampleRateHz: number
}

/** Fitted bands and how well they fit. */
export interface Correction {
  /** In ascending frequency; none when the curves agree. */
  readonly bands: Band[]
  /** The target: smoothed, bounded, 0 dB where a curve has no data. */
  readonly target: Curve
  /** Response of the bands at the sample rate, at the same frequencies. */
  readonly fit: Curve
  /** Errors of fit - target from 50 Hz to 16 kHz where both curves have data, weighted evenly over log f. */
  readonly rmsErrorDb: number
  readonly maxErrorDb: number
}

/** Differences below this are within the tolerance between two units of one mic. */
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
  const { curve: target, fromHz, toHz } = correctionTarget(request, topHz)
  const weights = Float64Array.from(target.frequenciesHz, (frequencyHz) => {
    const octavesOutside = Math.max(Math.log2(fromHz / frequencyHz), Math.log2(frequencyHz / toHz))
    if (octavesOutside <= 1e-9) return 1
    return octavesOutside < FREE_OCTAVES ? 0 : OUTSIDE_WEIGHT
  })
  const isFlat = target.levelsDb.every((levelDb) => Math.abs(levelDb) < NEGLIGIBLE_DB)
  const bands = isFlat
    ? []
    : fitBands({
        curve: target,
        weights,
        fromHz,
        toHz,
        maxBands: request.maxBands,
        maxBoostDb: request.maxBoostDb,
        maxCutDb: request.maxCutDb,
      })
  const levelsDb = [...bandsResponseDb(bands, target.frequenciesHz, request.sampleRateHz)]
  const fit = { frequenciesHz: target.frequenciesHz, levelsDb }
  const errorFromHz = Math.max(fromHz, ERROR_RANGE_HZ[0]) * (1 - 1e-9)
  const errorToHz = Math.min(toHz, ERROR_RANGE_HZ[1]) * (1 + 1e-9)
  return { bands, target, fit, ...errorsOf(target, fit, errorFromHz, errorToHz) }
}

function errorsOf(
  target: Curve,
  fit: Curve,
  fromHz: number,
  toHz: number,
): { rmsErrorDb: number; maxErrorDb: number } {
  let squares = 0
  let count = 0
  let maxErrorDb = 0
  target.frequenciesHz.forEach((frequencyHz, i) => {
    if (frequencyHz < fromHz || frequencyHz > toHz) return
    const errorDb = fit.levelsDb[i] - target.levelsDb[i]
    squares += errorDb * errorDb
    count++
    maxErrorDb = Math.max(maxErrorDb, Math.abs(errorDb))
  })
  return { rmsErrorDb: count > 0 ? Math.sqrt(squares / count) : 0, maxErrorDb }
}
