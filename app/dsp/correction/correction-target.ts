// The target that bands are fitted to: the difference of two smoothed curves, bounded, led out to
// 0 dB at the ends, and 0 dB where one of the curves has no data.

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
  /** 24 points to the octave from 20 Hz; 0 dB where a curve has no data, and away from the range. */
  readonly curve: Curve
  /** Where both curves have data and the correction may act. */
  readonly fromHz: number
  readonly toHz: number
  /** Where both curves have data. */
  readonly dataFromHz: number
  readonly dataToHz: number
}

const POINTS_PER_OCTAVE = 24
// Boosts fade out over the octave under 60 Hz and from 15 to 20 kHz: there is little voice
// there, much noise, and published curves are least certain (common practice).
const BOOST_LOW_HZ = [30, 60] as const
const BOOST_HIGH_HZ = [15000, 20000] as const
// Toward the end of the data, and beyond the end of the range, the correction falls to 0 dB by this much in
// an octave: the slope of one section (our choice). A step would leave a narrow dip or peak at the end.
const LEAD_OUT_DB_PER_OCTAVE = 12

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
  const [atFromDb, atToDb] = resampleCurve(bounded, [fromHz, toHz]).levelsDb
  // Where the data reaches the limits of hearing, nothing audible lies beyond it.
  const hasLowEnd = dataFromHz > frequenciesHz[0] * (1 + 1e-9)
  const hasHighEnd = dataToHz < frequenciesHz[frequenciesHz.length - 1] * (1 - 1e-9)
  const levelsDb = resampleCurve(bounded, frequenciesHz).levelsDb.map((insideDb, i) => {
    const frequencyHz = frequenciesHz[i]
    let levelDb = insideDb
    if (frequencyHz < fromHz) levelDb = ledOut(atFromDb, share * leadOutDb(fromHz / frequencyHz))
    else if (frequencyHz > toHz) levelDb = ledOut(atToDb, share * leadOutDb(frequencyHz / toHz))
    if (hasLowEnd) levelDb = limited(levelDb, share * leadOutDb(frequencyHz / dataFromHz))
    if (hasHighEnd) levelDb = limited(levelDb, share * leadOutDb(dataToHz / frequencyHz))
    return levelDb > 0 ? levelDb * boostShare(frequencyHz) : levelDb
  })
  return { curve: { frequenciesHz, levelsDb }, fromHz, toHz, dataFromHz, dataToHz }
}

/** What the lead-out allows inside of an end, or takes away outside of it; 0 or more. */
const leadOutDb = (ratio: number): number => LEAD_OUT_DB_PER_OCTAVE * Math.max(0, Math.log2(ratio))

/** A level moved toward 0 dB. */
const ledOut = (endDb: number, lessDb: number): number =>
  Math.abs(endDb) <= lessDb ? 0 : endDb - Math.sign(endDb) * lessDb

const limited = (levelDb: number, greatestDb: number): number =>
  greatestDb === 0 ? 0 : Math.min(Math.max(levelDb, -greatestDb), greatestDb)

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
