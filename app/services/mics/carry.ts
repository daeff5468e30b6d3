// Carries a chain from one mic to another: the correction is fitted again, everything else stays, and the
// remaining difference of the whole linear response is reported.

import {
  type Band,
  type ChainStage,
  type ChainStages,
  defaultStages,
  isLayerStage,
  type MicCorrectionAims,
} from '../../contract/chain-document.ts'
import type { CarryAim, CarryLimits, CarryPlan } from '../../contract/correction.ts'
import type { CurvePoints } from '../../contract/curve.ts'
import { Failure } from '../../contract/failure.ts'
import { MAX_STAGES } from '../../contract/text/limits.ts'
import { type Curve, normaliseCurve, octaveGridHz, resampleCurve } from '../../dsp/correction/curve.ts'
import { bandsResponseDb, lowCutResponseDb } from '../../dsp/filters/response.ts'
import { correctionBands } from '../chains/resolve-stages.ts'
import type { CorrectionFitter } from './correction-fitter.ts'

/** A chain, the old and the new mic, and how far the correction may go. */
export interface CarryRequest {
  readonly stages: ChainStages
  /** Curves of the old and the new mic; the names appear in remarks and in the target. */
  readonly from: { readonly name: string; readonly points: CurvePoints }
  readonly to: { readonly name: string; readonly points: CurvePoints }
  /** null: the chain's own aim if that keeps the sound, else whichever aim leaves the smaller RMS error. */
  readonly aim: CarryAim | null
  readonly limits: { readonly [K in keyof CarryLimits]?: CarryLimits[K] | undefined }
  readonly sampleRateHz: number
}

/** Range over which the two total responses are compared. */
const STATED_RANGE_HZ = [80, 12_000] as const
/** Up to these errors, 'as it is' is good enough, and the chain is left alone. */
const KEPT_RMS_DB = 0.5
const KEPT_MAX_DB = 1.5
/** The smallest error that gets an explanation, and how close to a limit counts as reaching it. */
const HELD_BACK_DB = 1
const NEAR_BOUND_DB = 0.75
/** Enough bands for an error of 0.5 dB RMS on smooth curves. */
const ENOUGH_BANDS = defaultStages['mic-correction'].settings.maxBands

type CorrectionStage = Extract<ChainStage, { kind: 'mic-correction' }>

const isCorrecting = (stage: ChainStage): stage is CorrectionStage =>
  stage.kind === 'mic-correction' && stage.on

/**
 * @throws Failure `invalid-input` if the curves have less than an octave in common, or the chain
 *   is full and has no mic correction
 */
export function planCarry(request: CarryRequest, fitter: CorrectionFitter): CarryPlan {
  const asItIs = carryAs('as it is', request, fitter)
  if (request.aim === 'as it is') return asItIs
  if (request.aim === null && asItIs.rmsDb <= KEPT_RMS_DB && asItIs.maxDb <= KEPT_MAX_DB) return asItIs
  const sameSound = carryAs('the sound so far', request, fitter)
  return request.aim === null && sameSound.rmsDb > asItIs.rmsDb ? asItIs : sameSound
}

function carryAs(aim: CarryAim, request: CarryRequest, fitter: CorrectionFitter): CarryPlan {
  const { stages, from, to, sampleRateHz } = request
  const grid = commonGridHz(from.points, to.points, sampleRateHz)
  const oldBands = bandsFor(stages, from.points, sampleRateHz, fitter)
  const carried =
    aim === 'as it is'
      ? stages.map((stage) => (isCorrecting(stage) ? limited(stage, request.limits) : stage))
      : aimAtSound(request, fitter)
  const newBands = bandsFor(carried, to.points, sampleRateHz, fitter)
  const restDb = linearRestDb(stages, grid, sampleRateHz)
  const oldTotal = totalOf(from.points, oldBands, restDb, grid, sampleRateHz)
  const newTotal = totalOf(to.points, newBands, restDb, grid, sampleRateHz)
  const difference = {
    frequenciesHz: grid,
    levelsDb: grid.map((_, i) => newTotal.levelsDb[i] - oldTotal.levelsDb[i]),
  }
  const changesChain = JSON.stringify(carried) !== JSON.stringify(stages)
  const settings = carried.find(isCorrecting)?.settings ?? defaultStages['mic-correction'].settings
  const { maxBoostDb, maxCutDb, fromHz, toHz, maxBands } = settings
  const stated = statedError(difference)
  const [reachedDb] = bandsResponseDb(newBands, [stated.maxAtHz], sampleRateHz)
  return {
    aim,
    stages: carried,
    changesChain,
    limits: { maxBoostDb, maxCutDb, fromHz, toHz, maxBands },
    oldBands,
    newBands,
    oldTotal: pointsOf(oldTotal),
    newTotal: pointsOf(newTotal),
    difference: pointsOf(difference),
    ...stated,
    remarks: [
      ...remarksOn(request, aim, grid),
      ...(stated.maxDb < HELD_BACK_DB
        ? []
        : heldBack(reachedDb, stated.maxAtHz, { maxBoostDb, maxCutDb, fromHz, toHz, maxBands })),
    ],
  }
}

/** The chain with its correction aimed at the corrected sound of the old mic; one is added if it has none. */
function aimAtSound(
  { stages, from, limits, sampleRateHz }: CarryRequest,
  fitter: CorrectionFitter,
): ChainStages {
  const before = stages.find(isCorrecting)
  const bands = stages
    .filter(isCorrecting)
    .flatMap(({ settings }) => fitter.fit(from.points, settings, sampleRateHz).bands)
  const grid = octaveGridHz(
    from.points.frequenciesHz[0],
    Math.min(from.points.frequenciesHz.at(-1)!, sampleRateHz / 2.2),
    24,
  )
  const micDb = resampleCurve(from.points, grid).levelsDb
  const correctionDb = bandsResponseDb(bands, grid, sampleRateHz)
  // Hundredths are far finer than the accuracy of any curve, and keep the chain file short.
  const levelsDb = micDb.map((levelDb, i) => Number((levelDb + correctionDb[i]).toFixed(2)))
  const target: MicCorrectionAims['target'] = {
    name: `${from.name}${before === undefined ? '' : ' as corrected'}`.slice(0, 200),
    curve: { frequenciesHz: grid.map((frequencyHz) => Number(frequencyHz.toFixed(2))), levelsDb },
  }
  const base = before ?? defaultStages['mic-correction']
  const settings: MicCorrectionAims = {
    ...limited(base, { maxBands: Math.max(ENOUGH_BANDS, base.settings.maxBands), ...limits }).settings,
    target,
    // The target already contains the part of the old mic's response that the old amount left uncorrected.
    amountPercent: 100,
  }
  const stage: CorrectionStage = { kind: 'mic-correction', on: true, settings }
  // A correction that is off marks the place for the new one.
  const at =
    before !== undefined ? stages.indexOf(before) : stages.findIndex(({ kind }) => kind === 'mic-correction')
  if (at !== -1) {
    // If several stages correct the mic, this one replaces them all.
    return stages.map((one, i) => (i === at ? stage : isCorrecting(one) ? { ...one, on: false } : one))
  }
  if (stages.length >= MAX_STAGES) {
    throw new Failure(
      'invalid-input',
      `The chain has ${MAX_STAGES} stages and no mic correction, so there is no room for one; remove a stage first.`,
    )
  }
  const layerStages = stages.filter(isLayerStage).length
  return [...stages.slice(0, layerStages), stage, ...stages.slice(layerStages)]
}

function limited(stage: CorrectionStage, limits: CarryRequest['limits']): CorrectionStage {
  const given = Object.fromEntries(Object.entries(limits).filter(([, value]) => value !== undefined))
  return { ...stage, settings: { ...stage.settings, ...given } }
}

/** Bands of all active corrections of a chain for one mic. */
function bandsFor(
  stages: ChainStages,
  mic: CurvePoints,
  sampleRateHz: number,
  fitter: CorrectionFitter,
): Band[] {
  return stages
    .filter(isCorrecting)
    .flatMap(({ settings }) => correctionBands(fitter.fit(mic, settings, sampleRateHz).bands, settings))
}

/** Response of low-cut and tone, which are the same for every mic. */
function linearRestDb(stages: ChainStages, grid: readonly number[], sampleRateHz: number): number[] {
  const sumDb = grid.map(() => 0)
  for (const stage of stages) {
    if (!stage.on) continue
    const response =
      stage.kind === 'low-cut'
        ? lowCutResponseDb(stage.settings, grid, sampleRateHz)
        : stage.kind === 'tone'
          ? bandsResponseDb(stage.settings.bands, grid, sampleRateHz)
          : null
    response?.forEach((levelDb, i) => {
      sumDb[i] += levelDb
    })
  }
  return sumDb
}

function totalOf(
  mic: CurvePoints,
  bands: readonly Band[],
  restDb: readonly number[],
  grid: readonly number[],
  sampleRateHz: number,
): Curve {
  const micDb = resampleCurve(mic, grid).levelsDb
  const correctionDb = bandsResponseDb(bands, grid, sampleRateHz)
  return normaliseCurve({
    frequenciesHz: grid,
    levelsDb: micDb.map((levelDb, i) => levelDb + correctionDb[i] + restDb[i]),
  })
}

function commonGridHz(a: CurvePoints, b: CurvePoints, sampleRateHz: number): number[] {
  const fromHz = Math.max(a.frequenciesHz[0], b.frequenciesHz[0], 20)
  const toHz = Math.min(a.frequenciesHz.at(-1)!, b.frequenciesHz.at(-1)!, 20_000, sampleRateHz / 2.2)
  if (!(toHz >= 2 * fromHz)) {
    throw new Failure(
      'invalid-input',
      'The chain cannot be carried: the curves of the two mics have less than one octave in common; use curves that cover the same range.',
    )
  }
  return octaveGridHz(fromHz, toHz, 24)
}

function statedError({ frequenciesHz, levelsDb }: Curve) {
  const fromHz = Math.max(STATED_RANGE_HZ[0], frequenciesHz[0])
  const toHz = Math.min(STATED_RANGE_HZ[1], frequenciesHz[frequenciesHz.length - 1])
  let squares = 0
  let count = 0
  let maxDb = 0
  let maxAtHz = fromHz
  frequenciesHz.forEach((frequencyHz, i) => {
    if (frequencyHz < fromHz * (1 - 1e-9) || frequencyHz > toHz * (1 + 1e-9)) return
    squares += levelsDb[i] ** 2
    count++
    if (Math.abs(levelsDb[i]) <= maxDb) return
    maxDb = Math.abs(levelsDb[i])
    maxAtHz = frequencyHz
  })
  return { fromHz, toHz, rmsDb: count === 0 ? 0 : Math.sqrt(squares / count), maxDb, maxAtHz }
}

function remarksOn({ stages, from, to }: CarryRequest, aim: CarryAim, grid: readonly number[]): string[] {
  const remarks: string[] = []
  if (!stages.some(isCorrecting)) {
    remarks.push(
      aim === 'as it is'
        ? 'The chain has no mic correction, so it does not adapt to the new mic.'
        : `The chain had no mic correction; one that aims at ${from.name} was added.`,
    )
  }
  const topHz = grid[grid.length - 1]
  if (topHz < STATED_RANGE_HZ[1] * 0.98) {
    remarks.push(
      `One of the curves ends at ${Math.round(Math.min(from.points.frequenciesHz.at(-1)!, to.points.frequenciesHz.at(-1)!))} Hz; nothing above it is corrected or compared.`,
    )
  }
  if (grid[0] > STATED_RANGE_HZ[0]) {
    remarks.push(
      `One of the curves starts at ${Math.round(grid[0])} Hz; nothing below it is corrected or compared.`,
    )
  }
  return remarks
}

/** Names the limit that keeps the two sounds apart, so that the user can raise it. */
function heldBack(reachedDb: number, atHz: number, { maxBoostDb, maxCutDb }: CarryLimits): string[] {
  const place = `Near ${Math.round(atHz)} Hz`
  if (reachedDb > maxBoostDb - NEAR_BOUND_DB) {
    return [
      `${place} the correction is limited by its maximum boost of ${maxBoostDb} dB; a higher limit comes closer.`,
    ]
  }
  if (reachedDb < NEAR_BOUND_DB - maxCutDb) {
    return [
      `${place} the correction is limited by its maximum cut of ${maxCutDb} dB; a higher limit comes closer.`,
    ]
  }
  return []
}

const pointsOf = ({ frequenciesHz, levelsDb }: Curve): CurvePoints => ({
  frequenciesHz: [...frequenciesHz],
  levelsDb: [...levelsDb],
})
