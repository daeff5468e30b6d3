// The target that bands are fitted to: the difference of two smoothed curves, bounded, 0 dB
// where one of them has no data.

import {
  type Curve,
  normaliseCurve,
  octaveGridHz,
  resampleCurve,
  smoothCurve,
  subtractCurves,
} from './curve.ts'

/** Two mics, and the limits of the correction. */
export interface TargetRequest {
  /** The mic that recorded. */
  readonly source: Curve
  /** The curve that it should have had. */
  readonly target: Curve
  /** 100 corrects all of the difference. */
  readonly amountPercent: number
  readonly maxBoostDb: number
  readonly maxCutDb: number
  readonly fromHz: number
  readonly toHz: number
}

interface CorrectionTarget {
  /** 24 points to the octave from 20 Hz; 0 dB outside the range. */
  readonly curve: Curve
  /** Where both curves have data and the correction may act. */
  readonly fromHz: number
  readonly toHz: number
}

const POINTS_PER_OCTAVE = 24
// Boosts fade out over the octave under 60 Hz and from 15 to 20 kHz: there is little voice
// there, much noise, and published curves are least certain (common practice).
const BOOST_LOW_HZ = [30, 60] as const
const BOOST_HIGH_HZ = [15000, 20000] as const

/**
 * The bounded difference target - source, both at 0 dB on the mean of 300 to 3000 Hz.
 * @param topHz highest frequency that the sample rate can carry
 * @throws RangeError when the curves and the range share less than one octave
 */
export function correctionTarget(request: TargetRequest, topHz: number): CorrectionTarget {
  const difference = normaliseCurve(
    smoothCurve(subtractCurves(request.target, request.source), smoothingOctaves),
  )
  const dataFromHz = difference.frequenciesHz[0] ?? 0
  const dataToHz = difference.frequenciesHz[difference.frequenciesHz.length - 1] ?? 0
  const fromHz = Math.max(dataFromHz, request.fromHz)
  const toHz = Math.min(dataToHz * (1 + 1e-9), request.toHz, topHz)
  if (!(toHz >= 2 * fromHz && fromHz > 0)) {
    throw new RangeError('The two curves and the range of the correction have less than one octave in common')
  }
  const share = request.amountPercent / 100
  const bounded = smoothCurve(
    {
      frequenciesHz: difference.frequenciesHz,
      levelsDb: difference.levelsDb.map((levelDb) =>
        Math.min(Math.max(share * levelDb, -request.maxCutDb), request.maxBoostDb),
      ),
    },
    smoothingOctaves,
  )
  const frequenciesHz = octaveGridHz(20, Math.min(20000, topHz), POINTS_PER_OCTAVE)
  const levelsDb = resampleCurve(bounded, frequenciesHz).levelsDb.map((levelDb, i) => {
    const frequencyHz = frequenciesHz[i]
    if (frequencyHz < fromHz || frequencyHz > toHz) return 0
    return levelDb > 0 ? levelDb * boostShare(frequencyHz) : levelDb
  })
  return { curve: { frequenciesHz, levelsDb }, fromHz, toHz }
}

/** A sixth of an octave, a third where published curves are least certain. */
function smoothingOctaves(frequencyHz: number): number {
  return frequencyHz < 100 || frequencyHz > 10000 ? 1 / 3 : 1 / 6
}

function boostShare(frequencyHz: number): number {
  return (
    raisedCosine(frequencyHz, BOOST_LOW_HZ[0], BOOST_LOW_HZ[1]) *
    raisedCosine(frequencyHz, BOOST_HIGH_HZ[1], BOOST_HIGH_HZ[0])
  )
}

/** 0 at `zeroHz` and beyond, 1 at `oneHz` and beyond, evenly over log f between them. */
function raisedCosine(frequencyHz: number, zeroHz: number, oneHz: number): number {
  const share = Math.log(frequencyHz / zeroHz) / Math.log(oneHz / zeroHz)
  return 0.5 - 0.5 * Math.cos(Math.PI * Math.min(Math.max(share, 0), 1))
}
