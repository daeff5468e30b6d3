// A fitted correction with its residual error, and with cautions about what the curves do not cover.

import type { MicCorrectionAims } from '../../contract/chain-document.ts'
import type { MicCorrectionFit } from '../../contract/correction.ts'
import type { CurveRecord } from '../../contract/entities.ts'
import { bandsResponseDb } from '../../dsp/filters/response.ts'
import { correctionBands } from '../chains/resolve-stages.ts'
import type { CorrectionFitter } from './correction-fitter.ts'

/** A fit with its residual error and its cautions, for the Mics place. */
export function measureCorrection(
  curve: CurveRecord,
  aims: MicCorrectionAims,
  sampleRateHz: number,
  fitter: CorrectionFitter,
): MicCorrectionFit {
  const fit = fitter.fit(curve.points, aims, sampleRateHz)
  const source = curve.points.frequenciesHz
  const target = aims.target?.curve.frequenciesHz ?? source
  const fromHz = Math.max(aims.fromHz, source[0], target[0])
  const toHz = Math.min(aims.toHz, source.at(-1)!, target.at(-1)!)
  return {
    ...fit,
    leftOver: {
      frequenciesHz: fit.wanted.frequenciesHz,
      levelsDb: fit.wanted.levelsDb.map((levelDb, i) => levelDb - fit.fitted.levelsDb[i]),
    },
    whole: {
      frequenciesHz: fit.wanted.frequenciesHz,
      levelsDb: [
        ...bandsResponseDb(correctionBands(fit.bands, aims), fit.wanted.frequenciesHz, sampleRateHz),
      ],
    },
    fromHz,
    toHz,
    cautions: cautionsOf(curve, aims, toHz),
  }
}

/** General cautions from common practice, and those that follow from the curves themselves. */
function cautionsOf(curve: CurveRecord, aims: MicCorrectionAims, toHz: number): string[] {
  const distance = curve.distanceM === null ? 'an unknown distance' : `${curve.distanceM} m`
  const cautions = [
    `The curve was measured on axis at ${distance}. It does not include off-axis sound or the singer’s distance.`,
    'Two units of one mic differ by 1 to 2 dB; a data sheet curve does not describe your individual mic.',
    'Only the frequency response is matched, no other property of the mic.',
  ]
  if (toHz < Math.min(aims.toHz, 12_000)) {
    cautions.unshift(
      `Both curves have data only up to ${Math.round(toHz)} Hz; above that nothing is corrected.`,
    )
  }
  if (curve.source === 'invented') cautions.unshift('This curve is invented, not measured.')
  return cautions
}
