// Turns a saved chain into stages that can run: those that are off are dropped, and the mic correction
// becomes the bands fitted for one take's mic.

import {
  type Band,
  type ChainStage,
  isLayerStage,
  type MicCorrectionAims,
} from '../../contract/chain-document.ts'
import type { CorrectionFit } from '../../contract/correction.ts'
import type { CurvePoints } from '../../contract/curve.ts'
import type { StageSetup } from '../../contract/render-plan.ts'
import type { CorrectionFitter } from '../mics/correction-fitter.ts'

/** A stage of a chain with its setup for one take. */
export interface ResolvedStage {
  readonly stage: ChainStage
  /** null when the stage is off or has nothing to do. */
  readonly setup: StageSetup | null
  readonly remark: string | null
  readonly fit: CorrectionFit | null
}

const NO_CURVE =
  'The mic correction does nothing here, because no curve is known for this take’s mic; give the take a mic with a curve in Intake.'

/** @param micCurve the curve of the take's mic, null if none is known */
export function resolveStages(
  stages: readonly ChainStage[],
  micCurve: CurvePoints | null,
  sampleRateHz: number,
  fitter: CorrectionFitter,
): readonly ResolvedStage[] {
  return stages.map((stage): ResolvedStage => {
    if (!stage.on) return { stage, setup: null, remark: null, fit: null }
    if (stage.kind !== 'mic-correction') {
      const { kind, settings } = stage
      return { stage, setup: { kind, settings } as StageSetup, remark: null, fit: null }
    }
    if (micCurve === null) return { stage, setup: null, remark: NO_CURVE, fit: null }
    const fit = fitter.fit(micCurve, stage.settings, sampleRateHz)
    const bands = correctionBands(fit.bands, stage.settings)
    return { stage, setup: { kind: stage.kind, settings: { bands } }, remark: null, fit }
  })
}

/** Bands of the running stage: the shelf for the singer's distance, if any, then those fitted for the mic. */
export function correctionBands(fitted: readonly Band[], { proximity }: MicCorrectionAims): Band[] {
  return proximity === undefined ? [...fitted] : [{ shape: 'low-shelf', ...proximity }, ...fitted]
}

const setupsOf = (resolved: readonly ResolvedStage[]): StageSetup[] =>
  resolved.flatMap(({ setup }) => (setup === null ? [] : [setup]))

/** Setups of a layer's stages before the sum, and remarks on stages that do not run. */
export function layerSetups(
  stages: readonly ChainStage[],
  micCurve: CurvePoints | null,
  sampleRateHz: number,
  fitter: CorrectionFitter,
): { setups: StageSetup[]; remarks: string[] } {
  const resolved = resolveStages(stages.filter(isLayerStage), micCurve, sampleRateHz, fitter)
  return {
    setups: setupsOf(resolved),
    remarks: resolved.flatMap(({ remark }) => (remark === null ? [] : [remark])),
  }
}

/** Setups of the stages that run on the sum of a group or, for a shared chain, of the stack. */
export function sumSetups(stages: readonly ChainStage[]): StageSetup[] {
  return stages.flatMap((stage) =>
    stage.on && !isLayerStage(stage) ? [{ kind: stage.kind, settings: stage.settings } as StageSetup] : [],
  )
}
