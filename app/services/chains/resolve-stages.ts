// From a saved chain to running stages: those that are off are dropped, and the mic correction
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

/** A stage of a chain with what it runs as for one take. */
export interface ResolvedStage {
  readonly stage: ChainStage
  /** null: off, or nothing to do. */
  readonly setup: StageSetup | null
  readonly remark: string | null
  readonly fit: CorrectionFit | null
}

const NO_CURVE =
  'The mic correction does nothing here, because no curve is known for this take’s mic; give the take a mic with a curve in Intake.'

/** @param micCurve the curve of the take's mic, null where none is known */
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

/** What the stage runs: the bands fitted for the mic, and the shelf for the singer's distance where there is one. */
export function correctionBands(fitted: readonly Band[], { proximity }: MicCorrectionAims): Band[] {
  return proximity === undefined ? [...fitted] : [{ shape: 'low-shelf', ...proximity }, ...fitted]
}

const setupsOf = (resolved: readonly ResolvedStage[]): StageSetup[] =>
  resolved.flatMap(({ setup }) => (setup === null ? [] : [setup]))

/** The stages of one layer before the sum, and why a stage does not run. */
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

/** What runs on the sum of a group or, shared, on the stack. */
export function sumSetups(stages: readonly ChainStage[]): StageSetup[] {
  return stages.flatMap((stage) =>
    stage.on && !isLayerStage(stage) ? [{ kind: stage.kind, settings: stage.settings } as StageSetup] : [],
  )
}
