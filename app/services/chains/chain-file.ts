// Reads a chain file, together with the curve files that are given with it.

import { type ChainStage, parseChainDocument } from '../../contract/chain-document.ts'
import type { CurvePoints } from '../../contract/curve.ts'
import { Failure } from '../../contract/failure.ts'
import { MAX_JSON_BYTES } from '../../contract/text/limits.ts'
import { readCurveFile } from '../mics/curve-file.ts'
import { readJson, type SmallFileKind } from '../text-file.ts'

const CHAIN_FILE: SmallFileKind = {
  name: 'chain',
  wanted: 'a chain file that Takeloft saved',
  mostBytes: MAX_JSON_BYTES,
}

/** A chain file, and the curves for its mic correction. */
export interface ChainPaths {
  readonly chainPath: string
  readonly micCurvePath: string | undefined
  readonly targetCurvePath: string | undefined
}

/** @throws Failure for files that cannot be read or used, and for curves that no stage uses */
export function readChainFile({ chainPath, micCurvePath, targetCurvePath }: ChainPaths): {
  stages: readonly ChainStage[]
  micCurve: CurvePoints | null
  /** How the curves' texts were read. */
  remarks: readonly string[]
} {
  const chain = parseChainDocument(readJson(chainPath, CHAIN_FILE), chainPath)
  const mic = micCurvePath === undefined ? null : readCurveFile(micCurvePath)
  const aimed = targetCurvePath === undefined ? null : readCurveFile(targetCurvePath)
  const micCurve = mic === null ? null : mic.points
  const target = aimed === null ? undefined : { name: targetCurvePath!, curve: aimed.points }
  const asksForCurves = micCurve !== null || target !== undefined
  if (asksForCurves && !chain.stages.some((stage) => stage.kind === 'mic-correction')) {
    throw new Failure(
      'invalid-input',
      `${chainPath} has no mic-correction stage for the curves; add the stage, or leave the curves out.`,
      { chain: chainPath },
    )
  }
  const stages = chain.stages.map((stage) =>
    stage.kind === 'mic-correction' && target !== undefined
      ? { ...stage, settings: { ...stage.settings, target } }
      : stage,
  )
  return { stages, micCurve, remarks: [...(mic?.remarks ?? []), ...(aimed?.remarks ?? [])] }
}
