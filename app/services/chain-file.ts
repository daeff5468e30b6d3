// A chain from its file, with the curves that a call names beside it.

import { type ChainStage, parseChainDocument } from '../contract/chain-document.ts'
import type { CurvePoints } from '../contract/curve.ts'
import { Failure } from '../contract/failure.ts'
import { readCurveText } from './curve-text.ts'
import { readText } from './text-file.ts'

export interface ChainPaths {
  readonly chainPath: string
  readonly micCurvePath: string | undefined
  readonly targetCurvePath: string | undefined
}

/** @throws Failure for files that cannot be read or used, and for curves without a stage that wants them */
export function readChainFile({ chainPath, micCurvePath, targetCurvePath }: ChainPaths): {
  stages: readonly ChainStage[]
  micCurve: CurvePoints | null
} {
  const chain = parseChainDocument(readJson(chainPath), chainPath)
  const micCurve = micCurvePath === undefined ? null : readCurveFile(micCurvePath)
  const target =
    targetCurvePath === undefined
      ? undefined
      : { name: targetCurvePath, curve: readCurveFile(targetCurvePath) }
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
  return { stages, micCurve }
}

const readCurveFile = (path: string): CurvePoints => readCurveText(readText(path), path).points

function readJson(path: string): unknown {
  const text = readText(path)
  try {
    return JSON.parse(text)
  } catch {
    throw new Failure(
      'invalid-input',
      `${path} is not JSON, so it is no chain; choose a chain file that Takeloft saved.`,
      {
        path,
      },
    )
  }
}
