// Fits mic corrections and caches the latest fits: each plan needs the same fits again, and one fit costs as
// much time as processing a second of sound.

import type { MicCorrectionAims } from '../../contract/chain-document.ts'
import type { CorrectionFit } from '../../contract/correction.ts'
import type { CurvePoints } from '../../contract/curve.ts'
import { Failure } from '../../contract/failure.ts'
import { type Correction, type CorrectionRequest, fitCorrection } from '../../dsp/correction/correction.ts'
import { hashOfValue } from '../../history/canonical-json.ts'

const MAX_KEPT = 64

/** Fits mic corrections and caches the latest fits. */
export interface CorrectionFitter {
  /** The bands that bring a mic with curve `source` to the stage's target. @throws Failure `invalid-input` */
  fit(source: CurvePoints, aims: MicCorrectionAims, sampleRateHz: number): CorrectionFit
}

/** A flat target over the whole audible range. */
const FLAT: CurvePoints = { frequenciesHz: [10, 1000, 24_000], levelsDb: [0, 0, 0] }

/** A fitter with an empty cache. */
export function createCorrectionFitter(): CorrectionFitter {
  const kept = new Map<string, CorrectionFit>()
  return {
    fit(source, aims, sampleRateHz) {
      // The proximity shelf is separate from the fit.
      const { target, proximity: _, ...limits } = aims
      const key = hashOfValue([source, target, limits, sampleRateHz])
      const known = kept.get(key)
      if (known !== undefined) return known
      const fitted = fitOrRefuse({ source, target: target?.curve ?? FLAT, ...limits, sampleRateHz })
      const fit: CorrectionFit = {
        bands: [...fitted.bands],
        wanted: { frequenciesHz: [...fitted.target.frequenciesHz], levelsDb: [...fitted.target.levelsDb] },
        fitted: { frequenciesHz: [...fitted.fit.frequenciesHz], levelsDb: [...fitted.fit.levelsDb] },
        rmsErrorDb: fitted.rmsErrorDb,
        maxErrorDb: fitted.maxErrorDb,
      }
      kept.set(key, fit)
      if (kept.size > MAX_KEPT) kept.delete(kept.keys().next().value as string)
      return fit
    },
  }
}

function fitOrRefuse(request: CorrectionRequest): Correction {
  try {
    return fitCorrection(request)
  } catch (error) {
    if (!(error instanceof RangeError)) throw error
    throw new Failure(
      'invalid-input',
      'No correction can be fitted: the two curves and the chosen range have less than one octave in common; use curves that cover the same range, or widen it.',
      { fromHz: request.fromHz, toHz: request.toHz },
      error,
    )
  }
}
