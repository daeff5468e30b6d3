// Fits shelves and bells to a curve: one band is added at a time, where it helps most,
// and all are refitted together after each. The fit ends when the remaining error is
// inaudible or the bands are used up.

import { solveLeastSquares } from '../maths/least-squares.ts'
import type { Band } from '../stages/settings.ts'
import { addBandLevels } from './band-slopes.ts'
import { type Curve, octaveGridHz } from './curve.ts'

/** What to fit, with how many bands, and their bounds. */
export interface BandFitRequest {
  /** Levels to follow, on a grid that is even over log f. */
  readonly curve: Curve
  /** How much each point counts; 0 leaves it free. */
  readonly weights: Float64Array
  /** Range of the bells' frequencies. */
  readonly fromHz: number
  readonly toHz: number
  readonly maxBands: number
  /** Bounds of all bands together: errors beyond them are weighted OUT_OF_BOUNDS_COST times. */
  readonly maxBoostDb: number
  readonly maxCutDb: number
  /** Bound of the boost under the curve, down to 0 Hz, and over it, up to `topHz`; nothing else is wanted there. */
  readonly maxBoostBeyondDb: number
  readonly topHz: number
}

/** A band's shape, with start and bounds of its parameters. */
interface Candidate {
  readonly shape: Band['shape']
  readonly start: readonly number[]
  readonly lower: readonly number[]
  readonly upper: readonly number[]
}

interface Fit {
  readonly candidates: readonly Candidate[]
  readonly parameters: Float64Array
  readonly sumOfSquares: number
}

/** The fit is good enough when the weighted RMS and greatest errors are below these. */
const RMS_DONE_DB = 0.1
const MAX_DONE_DB = 0.3
/** Weight of a band's own gain among the residuals, so that no two bands cancel with large gains. */
const GAIN_WEIGHT = 0.03
const OUT_OF_BOUNDS_COST = 5
const POINTS_BEYOND_PER_OCTAVE = 6
/** One band may go this far past the bounds where others compensate for it. */
const GAIN_MARGIN_DB = 3
const ROUGH = { maxIterations: 12, relativeTolerance: 1e-3 }
const FINE = { maxIterations: 60, relativeTolerance: 1e-6 }
const BELL_Q = [0.4, 6] as const
// Above 1 / sqrt(2) a shelf bulges beside its slope; a little of that helps the fit.
const SHELF_Q = [0.4, 1] as const
const LOW_SHELF_HZ = [40, 1000] as const
const HIGH_SHELF_HZ = [1500, 16000] as const

/** Bands in ascending frequency; fewer than allowed when fewer suffice, none for a flat curve. */
export function fitBands(request: BandFitRequest): Band[] {
  const { curve, weights, maxBands, maxBoostDb, maxBoostBeyondDb, maxCutDb } = request
  const logFrequencies = Float64Array.from(curve.frequenciesHz, Math.log)
  const logsBeyond = Float64Array.from(frequenciesBeyond(request), Math.log)
  const targetDb = Float64Array.from(curve.levelsDb)
  let fit: Fit = { candidates: [], parameters: new Float64Array(0), sumOfSquares: 0 }

  while (fit.candidates.length < maxBands) {
    const restDb = residualsDb(fit)
    if (isSmall(restDb)) break
    let best: Fit | undefined
    for (const candidate of nextCandidates(request, restDb, fit)) {
      const grown = refit([...fit.candidates, candidate], [...fit.parameters, ...candidate.start], ROUGH)
      if (best === undefined || grown.sumOfSquares < best.sumOfSquares) best = grown
    }
    if (best === undefined) break
    fit = refit(best.candidates, best.parameters, FINE)
  }
  return fit.candidates.map(bandOf).sort((a, b) => a.frequencyHz - b.frequencyHz)

  function bandOf(candidate: Candidate, i: number): Band {
    return {
      shape: candidate.shape,
      frequencyHz: Math.exp(fit.parameters[3 * i]),
      gainDb: fit.parameters[3 * i + 1],
      q: Math.exp(fit.parameters[3 * i + 2]),
    }
  }

  function residualsDb({ candidates, parameters }: Fit): Float64Array {
    const levelsDb = new Float64Array(targetDb.length)
    const slopes = new Float64Array(3 * targetDb.length)
    candidates.forEach(({ shape }, i) => {
      const [logFrequency, gainDb, logQ] = parameters.subarray(3 * i, 3 * i + 3)
      addBandLevels(shape, logFrequency, gainDb, logQ, logFrequencies, levelsDb, slopes, 3, 0)
    })
    return levelsDb.map((levelDb, i) => targetDb[i] - levelDb)
  }

  function isSmall(restDb: Float64Array): boolean {
    let squares = 0
    let sum = 0
    let greatestDb = 0
    for (let i = 0; i < restDb.length; i++) {
      squares += weights[i] * restDb[i] * restDb[i]
      sum += weights[i]
      greatestDb = Math.max(greatestDb, weights[i] * Math.abs(restDb[i]))
    }
    return squares <= RMS_DONE_DB * RMS_DONE_DB * sum && greatestDb <= MAX_DONE_DB
  }

  function refit(
    candidates: readonly Candidate[],
    start: ArrayLike<number>,
    options: { maxIterations: number; relativeTolerance: number },
  ): Fit {
    const points = targetDb.length
    const stride = 3 * candidates.length
    const beyond = logsBeyond.length
    const levelsDb = new Float64Array(points)
    const levelsBeyondDb = new Float64Array(beyond)
    const slopesBeyond = new Float64Array(beyond * stride)
    const solution = solveLeastSquares(
      {
        residualCount: points + candidates.length + beyond,
        lower: candidates.flatMap(({ lower }) => lower),
        upper: candidates.flatMap(({ upper }) => upper),
        evaluate(parameters, residuals, jacobian) {
          levelsDb.fill(0)
          levelsBeyondDb.fill(0)
          candidates.forEach(({ shape }, i) => {
            const at = 3 * i
            addBandLevels(
              shape,
              parameters[at],
              parameters[at + 1],
              parameters[at + 2],
              logsBeyond,
              levelsBeyondDb,
              slopesBeyond,
              stride,
              at,
            )
            addBandLevels(
              shape,
              parameters[at],
              parameters[at + 1],
              parameters[at + 2],
              logFrequencies,
              levelsDb,
              jacobian,
              stride,
              at,
            )
            residuals[points + i] = GAIN_WEIGHT * parameters[at + 1]
            jacobian[(points + i) * stride + at + 1] = GAIN_WEIGHT
          })
          for (let i = 0; i < points; i++) {
            const isOut = levelsDb[i] > maxBoostDb || levelsDb[i] < -maxCutDb
            const weight = isOut ? weights[i] * OUT_OF_BOUNDS_COST : weights[i]
            residuals[i] = weight * (levelsDb[i] - targetDb[i])
            for (let p = stride * i; p < stride * (i + 1); p++) jacobian[p] *= weight
          }
          for (let i = 0; i < beyond; i++) {
            const weight = levelsBeyondDb[i] > maxBoostBeyondDb ? OUT_OF_BOUNDS_COST : 0
            const row = points + candidates.length + i
            residuals[row] = weight * (levelsBeyondDb[i] - maxBoostBeyondDb)
            for (let p = 0; p < stride; p++)
              jacobian[row * stride + p] = weight * slopesBeyond[i * stride + p]
          }
        },
      },
      start,
      options,
    )
    return { candidates, ...solution }
  }
}

/** Where only the bound of the boost counts. */
function frequenciesBeyond({ curve, topHz }: BandFitRequest): number[] {
  const lowestHz = curve.frequenciesHz[0]
  const highestHz = curve.frequenciesHz[curve.frequenciesHz.length - 1]
  const above = octaveGridHz(highestHz, topHz, POINTS_BEYOND_PER_OCTAVE).slice(1)
  const below = [0, ...octaveGridHz(lowestHz / 8, lowestHz, 2).slice(0, -1)]
  return topHz > highestHz ? [...below, ...above, topHz] : below
}

/** Bells where the remaining error is greatest, and each shelf that is not used yet. */
function nextCandidates(request: BandFitRequest, restDb: Float64Array, fit: Fit): Candidate[] {
  const { curve, weights, fromHz, toHz } = request
  const leastGainDb = -request.maxCutDb - GAIN_MARGIN_DB
  // Without a boost to spend, no band may boost.
  const mostGainDb = request.maxBoostDb + Math.min(GAIN_MARGIN_DB, Math.max(0, request.maxBoostDb))
  const meanDb = (lowHz: number, highHz: number) => {
    let sum = 0
    let count = 1e-9
    for (let i = 0; i < restDb.length; i++) {
      if (curve.frequenciesHz[i] < lowHz || curve.frequenciesHz[i] > highHz) continue
      sum += weights[i] * restDb[i]
      count += weights[i]
    }
    return sum / count
  }
  const candidate = (
    shape: Band['shape'],
    [lowHz, highHz]: readonly [number, number],
    qs: readonly [number, number],
    frequencyHz: number,
    gainDb: number,
    q: number,
  ): Candidate => ({
    shape,
    start: [
      Math.log(Math.min(Math.max(frequencyHz, lowHz), highHz)),
      Math.min(Math.max(gainDb, leastGainDb), mostGainDb),
      Math.log(q),
    ],
    lower: [Math.log(lowHz), leastGainDb, Math.log(qs[0])],
    upper: [Math.log(highHz), mostGainDb, Math.log(qs[1])],
  })
  const has = (shape: Band['shape']) => fit.candidates.some((band) => band.shape === shape)

  const peak = greatestAt(restDb, weights)
  const peakHz = curve.frequenciesHz[peak]
  const candidates = [0.7, 2].map((q) => candidate('bell', [fromHz, toHz], BELL_Q, peakHz, restDb[peak], q))
  if (!has('low-shelf')) {
    candidates.push(candidate('low-shelf', LOW_SHELF_HZ, SHELF_Q, 150, meanDb(fromHz, 150), 0.6))
  }
  if (!has('high-shelf')) {
    candidates.push(candidate('high-shelf', HIGH_SHELF_HZ, SHELF_Q, 6000, meanDb(6000, toHz), 0.6))
  }
  return candidates
}

/** Index of the greatest remaining error, smoothed over about a third of an octave of an even grid. */
function greatestAt(restDb: Float64Array, weights: Float64Array): number {
  const reach = 4
  let best = 0
  let bestDb = -1
  for (let i = 0; i < restDb.length; i++) {
    if (weights[i] === 0) continue
    let sum = 0
    let count = 0
    for (let j = Math.max(0, i - reach); j <= Math.min(restDb.length - 1, i + reach); j++) {
      sum += weights[j] * restDb[j]
      count++
    }
    if (Math.abs(sum / count) > bestDb) {
      bestDb = Math.abs(sum / count)
      best = i
    }
  }
  return best
}
