// Sections whose magnitude follows the analogue prototype up to 20 kHz instead of
// cramping toward half the sample rate. Poles and zeros start at the bilinear design
// and are moved, when a setting changes, to the least squares of the error in dB.
// Both stay in the left half plane (their g and k are fitted as logarithms), so
// every design is stable and of minimum phase; the level at 0 Hz stays exact.

import { type LeastSquaresProblem, solveLeastSquares } from '../maths/least-squares.ts'
import type { Band, LowCutSettings } from '../stages/settings.ts'
import { cookbookBand, cookbookHighPass, warp } from './cookbook.ts'
import { analogueBandDb, analogueHighPassDb, butterworthQs, cookbookA } from './prototypes.ts'
import type { SvfCoefficients } from './svf.ts'

const DB_PER_NEPER_OF_POWER = 10 / Math.LN10
/** 20 kHz at 44.1 kHz, as a share of half the sample rate: the fit's upper end. */
const TOP_SHARE_OF_NYQUIST = 20000 / 22050
/** Below this error of the bilinear design there is nothing to gain. */
const GOOD_ENOUGH_DB = 1e-3
const FIT_OPTIONS = { maxIterations: 40, relativeTolerance: 1e-5 }
/** Box of ln g and ln k; g = 1000 is a pole within 0.04 % of half the sample rate. */
const LOG_G = [Math.log(1e-6), Math.log(1e3)] as const
const LOG_K = [Math.log(1e-3), Math.log(1e3)] as const

/** Where a design is compared with its prototype. */
interface FitGrid {
  /** tan^2(pi f / fs) at each frequency. */
  readonly warpedSquares: Float64Array
  readonly targetsDb: Float64Array
  readonly weights: Float64Array
}

/** The sections of a list of bands, in order. Bands at 0 dB need none. */
export function designBands(bands: readonly Band[], sampleRateHz: number): SvfCoefficients[] {
  return bands.filter((band) => band.gainDb !== 0).map((band) => designBand(band, sampleRateHz))
}

/**
 * The section of one band: within 0.1 dB of the prototype to 16 kHz for bands up to
 * 8 kHz, 0.3 dB for those up to 12 kHz, 0.5 dB to 20 kHz, at 44.1 kHz and above.
 */
export function designBand(band: Band, sampleRateHz: number): SvfCoefficients {
  if (band.gainDb === 0) return cookbookBand(band, sampleRateHz)
  const a = cookbookA(band.gainDb)
  const root = Math.sqrt(a)
  // From a higher start the fit can run away to half the sample rate.
  const g = warp(Math.min(band.frequencyHz, 0.4 * sampleRateHz), sampleRateHz)
  const atDc = band.shape === 'low-shelf' ? a * a : 1
  // Poles g, k, then zeros g, k, of the bilinear design.
  const start =
    band.shape === 'bell'
      ? [g, 1 / (a * band.q), g, a / band.q]
      : band.shape === 'low-shelf'
        ? [g / root, 1 / band.q, g * root, 1 / band.q]
        : [g * root, 1 / band.q, g / root, 1 / band.q]
  const grid = fitGrid(band.frequencyHz, band.q, sampleRateHz, (frequencyHz) =>
    analogueBandDb(band, frequencyHz),
  )
  const problem = bandProblem(grid, atDc)
  const logs = start.map(Math.log)
  if (isGoodEnough(problem, logs)) return cookbookBand(band, sampleRateHz)
  const [poleG, poleK, zeroG, zeroK] = solveLeastSquares(problem, logs, FIT_OPTIONS).parameters.map(Math.exp)
  const ratio = zeroG / poleG
  const m0 = atDc / (ratio * ratio)
  return { g: poleG, k: poleK, m0, m1: m0 * (zeroK * ratio - poleK), m2: atDc - m0 }
}

/** The sections of a Butterworth low-cut. */
export function designLowCut(settings: LowCutSettings, sampleRateHz: number): SvfCoefficients[] {
  return butterworthQs(settings.slopeDbPerOctave).map((q) =>
    designHighPass(settings.frequencyHz, q, sampleRateHz),
  )
}

/** One high-pass section, exact in its slope toward 0 Hz. */
function designHighPass(cornerHz: number, q: number, sampleRateHz: number): SvfCoefficients {
  const grid = fitGrid(cornerHz, q, sampleRateHz, (frequencyHz) =>
    analogueHighPassDb(cornerHz, q, frequencyHz),
  )
  const rateOverCorner = sampleRateHz / (Math.PI * cornerHz)
  const problem = highPassProblem(grid, rateOverCorner)
  const logs = [warp(cornerHz, sampleRateHz), 1 / q].map(Math.log)
  if (isGoodEnough(problem, logs)) return cookbookHighPass(cornerHz, q, sampleRateHz)
  const [g, k] = solveLeastSquares(problem, logs, FIT_OPTIONS).parameters.map(Math.exp)
  const m0 = g * g * rateOverCorner * rateOverCorner
  return { g, k, m0, m1: -k * m0, m2: -m0 }
}

/** Spreads points evenly in log f, evenly in f (for the cramped range), and around the band itself. */
function fitGrid(
  centreHz: number,
  q: number,
  sampleRateHz: number,
  targetDb: (frequencyHz: number) => number,
): FitGrid {
  const topHz = (TOP_SHARE_OF_NYQUIST * sampleRateHz) / 2
  const bottomHz = Math.min(centreHz, topHz) / 16
  const frequenciesHz: number[] = []
  for (let i = 0; i < 24; i++) frequenciesHz.push(bottomHz * Math.exp((i / 23) * Math.log(topHz / bottomHz)))
  for (let i = 1; i <= 32; i++) frequenciesHz.push((topHz * i) / 32)
  for (let i = -8; i <= 8; i++) {
    // Clamped to the top, not left out: points that appear and vanish would make the design jump.
    frequenciesHz.push(Math.min(topHz, centreHz * Math.exp((i / (8 * Math.max(q, 0.5))) * Math.LN2)))
  }
  return {
    warpedSquares: Float64Array.from(frequenciesHz, (f) => Math.tan((Math.PI * f) / sampleRateHz) ** 2),
    targetsDb: Float64Array.from(frequenciesHz, targetDb),
    weights: Float64Array.from(frequenciesHz, (f) => fitWeight(f, centreHz, topHz)),
  }
}

/**
 * Full weight up to 16 kHz; less up to 20 kHz, where bands of higher frequency get more;
 * little above, where errors are inaudible. The limits are scaled down at low sample rates.
 */
function fitWeight(frequencyHz: number, centreHz: number, topHz: number): number {
  const audibleTopHz = Math.min(topHz, 20000)
  if (frequencyHz <= 0.8 * audibleTopHz) return 1
  if (frequencyHz > audibleTopHz) return 0.1
  return Math.min(Math.max(0.35, 1.6 * (centreHz / audibleTopHz) - 0.27), 0.8)
}

/** Parameters: ln g and ln k of the poles, then of the zeros. */
function bandProblem(grid: FitGrid, atDc: number): LeastSquaresProblem {
  const { warpedSquares, targetsDb, weights } = grid
  const dcDb = 2 * DB_PER_NEPER_OF_POWER * Math.log(atDc)
  return {
    residualCount: targetsDb.length,
    lower: [LOG_G[0], LOG_K[0], LOG_G[0], LOG_K[0]],
    upper: [LOG_G[1], LOG_K[1], LOG_G[1], LOG_K[1]],
    evaluate(logs, residuals, jacobian) {
      const poleG2 = Math.exp(2 * logs[0])
      const poleDamping = Math.exp(2 * logs[1]) * poleG2
      const zeroG2 = Math.exp(2 * logs[2])
      const zeroDamping = Math.exp(2 * logs[3]) * zeroG2
      const scaleDb = dcDb + 4 * DB_PER_NEPER_OF_POWER * (logs[0] - logs[2])
      for (let i = 0; i < targetsDb.length; i++) {
        const x = warpedSquares[i]
        const poleGap = poleG2 - x
        const zeroGap = zeroG2 - x
        const poles = poleGap * poleGap + poleDamping * x
        const zeros = zeroGap * zeroGap + zeroDamping * x
        const weight = weights[i]
        residuals[i] = weight * (scaleDb + DB_PER_NEPER_OF_POWER * Math.log(zeros / poles) - targetsDb[i])
        const slope = weight * DB_PER_NEPER_OF_POWER
        const row = 4 * i
        jacobian[row] = slope * (4 - (4 * poleGap * poleG2 + 2 * poleDamping * x) / poles)
        jacobian[row + 1] = (-slope * 2 * poleDamping * x) / poles
        jacobian[row + 2] = slope * ((4 * zeroGap * zeroG2 + 2 * zeroDamping * x) / zeros - 4)
        jacobian[row + 3] = (slope * 2 * zeroDamping * x) / zeros
      }
    },
  }
}

/** Parameters: ln g and ln k of the poles; the zeros stay at 0 Hz. */
function highPassProblem(grid: FitGrid, rateOverCorner: number): LeastSquaresProblem {
  const { warpedSquares, targetsDb, weights } = grid
  const slopeDb = 4 * DB_PER_NEPER_OF_POWER * Math.log(rateOverCorner)
  return {
    residualCount: targetsDb.length,
    lower: [LOG_G[0], LOG_K[0]],
    upper: [LOG_G[1], LOG_K[1]],
    evaluate(logs, residuals, jacobian) {
      const g2 = Math.exp(2 * logs[0])
      const damping = Math.exp(2 * logs[1]) * g2
      const scaleDb = slopeDb + 4 * DB_PER_NEPER_OF_POWER * logs[0]
      for (let i = 0; i < targetsDb.length; i++) {
        const x = warpedSquares[i]
        const gap = g2 - x
        const poles = gap * gap + damping * x
        const slope = weights[i] * DB_PER_NEPER_OF_POWER
        residuals[i] =
          weights[i] * (scaleDb + DB_PER_NEPER_OF_POWER * Math.log((x * x) / poles) - targetsDb[i])
        jacobian[2 * i] = slope * (4 - (4 * gap * g2 + 2 * damping * x) / poles)
        jacobian[2 * i + 1] = (-slope * 2 * damping * x) / poles
      }
    },
  }
}

function isGoodEnough(problem: LeastSquaresProblem, start: number[]): boolean {
  const residuals = new Float64Array(problem.residualCount)
  problem.evaluate(Float64Array.from(start), residuals, new Float64Array(residuals.length * start.length))
  return residuals.every((residual) => Math.abs(residual) < GOOD_ENOUGH_DB)
}
