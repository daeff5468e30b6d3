// Acts on single files, without a catalogue: what the command line does for a folder of takes.

import { existsSync, mkdtempSync, readFileSync, realpathSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { readFailure } from '../audio/file-failures.ts'
import { readableTakePath, readFormat } from '../audio/open-take-file.ts'
import { defaultStages, type MicCorrectionAims, parseChainDocument } from '../contract/chain-document.ts'
import type { CallContext, StemEncoding } from '../contract/commands.ts'
import type { CorrectionFit } from '../contract/correction.ts'
import type { CurvePoints } from '../contract/curve.ts'
import { Failure } from '../contract/failure.ts'
import type { FileFacts } from '../contract/take-facts.ts'
import type { ProcessedFile } from '../engine/process-file.ts'
import type { Pool } from '../workers/pool.ts'
import type { CorrectionFitter } from './correction-fitter.ts'
import { readCurveText } from './curve-text.ts'
import { resolveStages } from './resolve-stages.ts'

/** The correction of `fit` aims at the whole range with the stage's usual bounds. */
const FIT_RATE_HZ = 48_000

/**
 * A take's facts.
 * @param levelsOnly loudness and peaks, without the check and the voice: several times as fast
 */
export async function measureFile(
  pool: Pool,
  path: string,
  levelsOnly: boolean,
  { signal, report }: CallContext,
): Promise<FileFacts> {
  const scratch = mkdtempSync(join(tmpdir(), 'takeloft-measure-'))
  try {
    const input = { path: resolve(path), workingFolder: scratch, peaksFolder: null }
    const { sha256, format, facts } = await pool.run(levelsOnly ? 'measureLevels' : 'measureTake', input, {
      signal,
      onProgress: (fraction) => report(fraction, 'Measuring'),
    })
    return {
      sha256,
      sampleRateHz: format.sampleRateHz,
      channels: format.channels,
      frames: format.frames,
      container: format.container,
      encoding: format.encoding,
      ...facts,
    }
  } finally {
    rmSync(scratch, { recursive: true, force: true })
  }
}

export interface ProcessRequest {
  readonly from: string
  readonly to: string
  readonly chainPath: string
  readonly micCurvePath: string | undefined
  readonly targetCurvePath: string | undefined
  readonly encoding: StemEncoding
}

/** One file through one chain. */
export async function processFile(
  pool: Pool,
  fitter: CorrectionFitter,
  request: ProcessRequest,
  { signal, report }: CallContext,
): Promise<ProcessedFile & { readonly remarks: readonly string[] }> {
  const from = resolve(request.from)
  const to = resolve(request.to)
  if (existsSync(to) && existsSync(from) && realpathSync(to) === realpathSync(from)) {
    throw new Failure(
      'invalid-input',
      `${to} is the take itself, and takes are never written to; name another file.`,
      { to },
    )
  }
  const chain = parseChainDocument(readJson(request.chainPath), request.chainPath)
  const micCurve = request.micCurvePath === undefined ? null : readCurveFile(request.micCurvePath).points
  const target =
    request.targetCurvePath === undefined
      ? undefined
      : { name: request.targetCurvePath, curve: readCurveFile(request.targetCurvePath).points }
  const asksForCurves = micCurve !== null || target !== undefined
  if (asksForCurves && !chain.stages.some((stage) => stage.kind === 'mic-correction')) {
    throw new Failure(
      'invalid-input',
      `${request.chainPath} has no mic-correction stage for the curves; add the stage, or leave the curves out.`,
      { chain: request.chainPath },
    )
  }
  const stages = chain.stages.map((stage) =>
    stage.kind === 'mic-correction' && target !== undefined
      ? { ...stage, settings: { ...stage.settings, target } }
      : stage,
  )
  const scratch = mkdtempSync(join(tmpdir(), 'takeloft-process-'))
  try {
    const readable = await readableTakePath(from, 'take', scratch, signal)
    const { sampleRateHz } = await readFormat(readable)
    const resolved = resolveStages(stages, micCurve, sampleRateHz, fitter)
    const done = await pool.run(
      'processFile',
      {
        from: readable,
        to,
        setups: resolved.flatMap(({ setup }) => (setup === null ? [] : [setup])),
        encoding: request.encoding,
      },
      { signal, onProgress: (fraction) => report(fraction, 'Processing') },
    )
    return { ...done, remarks: resolved.flatMap(({ remark }) => (remark === null ? [] : [remark])) }
  } finally {
    rmSync(scratch, { recursive: true, force: true })
  }
}

/** The correction from the mic of one curve to another curve, with the stage's usual limits where none are given. */
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

function readCurveFile(path: string): { points: CurvePoints; remarks: readonly string[] } {
  return readCurveText(readText(path), path)
}

function readText(path: string): string {
  try {
    return readFileSync(resolve(path), 'utf8')
  } catch (error) {
    throw readFailure(error, resolve(path))
  }
}

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
