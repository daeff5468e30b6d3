// Fits the correction between two curve files, without a catalogue.

import { defaultStages, type MicCorrectionAims } from '../../contract/chain-document.ts'
import type { CorrectionFit } from '../../contract/correction.ts'
import type { CorrectionFitter } from './correction-fitter.ts'
import { readCurveFile } from './curve-file.ts'

/** Sample rate at which the response of the bands is computed. */
const FIT_RATE_HZ = 48_000

/**
 * The correction from the mic of the source curve to the target curve.
 * @param limits replace the stage's default limits
 */
export function fitCurveFiles(
  fitter: CorrectionFitter,
  sourcePath: string,
  targetPath: string,
  limits: Partial<Omit<MicCorrectionAims, 'target' | 'proximity'>>,
): { fit: CorrectionFit; remarks: readonly string[] } {
  const source = readCurveFile(sourcePath)
  const target = readCurveFile(targetPath)
  const aims: MicCorrectionAims = {
    ...defaultStages['mic-correction'].settings,
    ...limits,
    target: { name: targetPath, curve: target.points },
  }
  return {
    fit: fitter.fit(source.points, aims, FIT_RATE_HZ),
    remarks: [...source.remarks, ...target.remarks],
  }
}
