// Mic correction: the few bands that bring one microphone's curve to another one's.
// It matches the on-axis frequency response and no other property of the mic.

import { bandsResponseDb } from '../filters/response.ts'
import type { Band } from '../stages/settings.ts'
import { correctionTarget, type TargetRequest } from './correction-target.ts'
import { type Curve, octaveGridHz } from './curve.ts'
import { type BandFitRequest, fitBands } from './fit-bands.ts'

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
/** Outside of the range, but within the data, the fit follows the target less closely. */
const OUTSIDE_WEIGHT = 0.1
const ERROR_RANGE_HZ = [50, 16000] as const
/** Fine enough that the peak of two bells of Q 6 rises less than 0.01 dB between two points. */
const BOUND_POINTS_PER_OCTAVE = 48
const REFIT_OVER_DB = 0.03
const MAX_REFITS = 3
/** A hundredth of a dB of a boost of 4 dB. */
const FIRST_SHRINK = 0.0025
/** What a peak may rise between two points of the check. */
const BETWEEN_POINTS_DB = 0.005

/**
 * Fits a correction.
 * @throws RangeError when the curves and the range share less than one octave
 */
export function fitCorrection(request: CorrectionRequest): Correction {
  const topHz = (request.sampleRateHz / 2) * (20000 / 22050)
  const { curve: target, fromHz, toHz, dataFromHz, dataToHz } = correctionTarget(request, topHz)
  const weights = Float64Array.from(target.frequenciesHz, (frequencyHz) => {
    const isBetween = (fromHz: number, toHz: number) =>
      frequencyHz >= fromHz * (1 - 1e-9) && frequencyHz <= toHz * (1 + 1e-9)
    return isBetween(fromHz, toHz) || !isBetween(dataFromHz, dataToHz) ? 1 : OUTSIDE_WEIGHT
  })
  const isFlat = target.levelsDb.every((levelDb) => Math.abs(levelDb) < NEGLIGIBLE_DB)
  const bands = isFlat
    ? []
    : fitWithinBounds(
        {
          curve: target,
          weights,
          fromHz,
          toHz,
          maxBands: request.maxBands,
          maxBoostDb: request.maxBoostDb,
          maxBoostBeyondDb: request.maxBoostDb,
          maxCutDb: request.maxCutDb,
          topHz: request.sampleRateHz / 2,
        },
        request.sampleRateHz,
      )
  const levelsDb = [...bandsResponseDb(bands, target.frequenciesHz, request.sampleRateHz)]
  const fit = { frequenciesHz: target.frequenciesHz, levelsDb }
  const errorFromHz = Math.max(fromHz, ERROR_RANGE_HZ[0]) * (1 - 1e-9)
  const errorToHz = Math.min(toHz, ERROR_RANGE_HZ[1]) * (1 + 1e-9)
  return { bands, target, fit, ...errorsOf(target, fit, errorFromHz, errorToHz) }
}

/**
 * Fits bands whose boost and cut are within their bounds at every frequency that the sample rate has, as the
 * stage runs them. A fit weighs its bounds against its errors and knows prototypes only, so it is repeated with
 * lower bounds where it was over; the last hundredths are taken from what boosts, or from what cuts.
 */
function fitWithinBounds(request: BandFitRequest, sampleRateHz: number): Band[] {
  const { maxBoostDb, maxCutDb } = request
  const [lowestHz, highestHz] = [request.curve.frequenciesHz[0], request.curve.frequenciesHz.at(-1) ?? 0]
  const gridHz = boundsGridHz(sampleRateHz)
  const overBoundsDb = (bands: readonly Band[]) => {
    const over = { insideDb: -maxBoostDb, beyondDb: -maxBoostDb, cutDb: -maxCutDb }
    bandsResponseDb(bands, gridHz, sampleRateHz).forEach((levelDb, i) => {
      const place = gridHz[i] < lowestHz || gridHz[i] > highestHz ? 'beyondDb' : 'insideDb'
      over[place] = Math.max(over[place], levelDb + BETWEEN_POINTS_DB - maxBoostDb)
      over.cutDb = Math.max(over.cutDb, -levelDb + BETWEEN_POINTS_DB - maxCutDb)
    })
    return over
  }
  const greatest = (over: ReturnType<typeof overBoundsDb>) =>
    Math.max(over.insideDb, over.beyondDb, over.cutDb)
  const bounds = { maxBoostDb, maxBoostBeyondDb: maxBoostDb, maxCutDb }
  let bands = fitBands(request)
  let over = overBoundsDb(bands)
  for (let round = 0; round < MAX_REFITS && greatest(over) > REFIT_OVER_DB; round++) {
    bounds.maxBoostDb = Math.max(0, bounds.maxBoostDb - Math.max(0, over.insideDb))
    bounds.maxBoostBeyondDb = Math.max(0, bounds.maxBoostBeyondDb - Math.max(0, over.beyondDb))
    bounds.maxCutDb = Math.max(0, bounds.maxCutDb - Math.max(0, over.cutDb))
    bands = fitBands({ ...request, ...bounds })
    over = overBoundsDb(bands)
  }
  // Less boost deepens the cuts beside it and the other way round, so both are taken back until both hold.
  const fitted = bands
  const less = { boost: 0, cut: 0 }
  const more = (taken: number): number => Math.max(FIRST_SHRINK, 1.5 * taken)
  for (;;) {
    const boostsTooMuch = Math.max(over.insideDb, over.beyondDb) > 0 && less.boost < 1
    const cutsTooMuch = over.cutDb > 0 && less.cut < 1
    if (!boostsTooMuch && !cutsTooMuch) return bands
    if (boostsTooMuch) less.boost = Math.min(1, more(less.boost))
    if (cutsTooMuch) less.cut = Math.min(1, more(less.cut))
    bands = fitted.map((band) => withLess(band, 1 - less.boost, 1 - less.cut))
    over = overBoundsDb(bands)
  }
}

/**
 * A band whose boost or cut is scaled; where boosts are, a shelf that cuts loses the bulge beside its slope. Without
 * boosts nothing rises over 0 dB, without cuts nothing falls under it.
 */
function withLess(band: Band, boostShare: number, cutShare: number): Band {
  const share = band.gainDb > 0 ? boostShare : cutShare
  const isSteep = band.shape !== 'bell' && (band.gainDb > 0 ? cutShare : boostShare) < 1
  return { ...band, gainDb: share * band.gainDb, q: isSteep ? Math.min(band.q, Math.SQRT1_2) : band.q }
}

/** From 0 Hz to half the sample rate, both included. */
function boundsGridHz(sampleRateHz: number): number[] {
  return [0, ...octaveGridHz(1, sampleRateHz / 2, BOUND_POINTS_PER_OCTAVE), sampleRateHz / 2]
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
