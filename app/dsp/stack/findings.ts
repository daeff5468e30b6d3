// Turns what was found on a stack into findings with places, figures and suggestions.

import { thirdOctaveAt } from '../analysis/spectra/third-octaves.ts'
import type { Span } from '../maths/span.ts'
import { type FoundBuildUp, isHarsh } from './build-up.ts'
import type { FoundCopy } from './combing.ts'
import { energyOf, type StackGram } from './gram.ts'
import { type LayerShift, layerShift, type ShiftVote } from './layer-shift.ts'
import type { FoundMonoLoss } from './mono-loss.ts'
import type { FoundSibilants } from './sibilants.ts'
import type { StackFinding, StackSuggestion } from './stack-finding.ts'
import type { StackLayer } from './stack-layers.ts'
import type { LayerTiming } from './timing.ts'

const MAX_PLACES = 100
const MOST_CUT_DB = -6
/** A layer is suggested to be moved where the middle of its offsets is this far from the lead (our choice). */
const LEAST_SHIFT_MS = 15
/** Doubles further apart than this are heard apart from the lead (our choice, after the spread of ensembles). */
const LOOSE_MS = 30

/** What lies on the way from figures to findings. */
export interface FindingContext {
  readonly layers: readonly StackLayer[]
  /** The spans that were measured, for findings that hold throughout. */
  readonly spans: readonly Span[]
}

const placed = (places: readonly Span[], spans: readonly Span[]) => {
  const list = places.length > 0 ? places : spans
  return {
    fromS: list[0]?.fromS ?? 0,
    toS: list.at(-1)?.toS ?? 0,
    places: list.slice(0, MAX_PLACES).map(({ fromS, toS }) => ({ fromS, toS })),
  }
}

export function buildUpFindings(
  found: readonly FoundBuildUp[],
  { layers, spans }: FindingContext,
): StackFinding[] {
  return found.map((one) => ({
    kind: isHarsh(one.nominalHz) ? 'harsh-build-up' : 'build-up',
    layerIds: one.layers.map((k) => layers[k].id),
    ...placed(one.places, spans),
    value: one.excessOfStackDb,
    unit: 'dB',
    evidence: {
      hz: one.nominalHz,
      buildUpDb: one.buildUpDb,
      shapeDb: one.shapeDb,
      share: one.share,
      shareOverMedian: one.blame,
      excessDb: one.excessDb,
      leaveOneOutDb: one.leaveOneOutDb,
    },
    suggestion: one.bell && {
      act: 'bell',
      layerId: layers[one.bell.layer].id,
      frequencyHz: one.bell.band.frequencyHz,
      gainDb: one.bell.band.gainDb,
      q: one.bell.band.q,
      predictedDb: one.bell.predictedDb,
    },
  }))
}

/** @param shifts of layers, as shiftsOf gives them */
export function copyFindings(
  found: readonly FoundCopy[],
  { layers, spans }: FindingContext,
  shifts: ReadonlyMap<number, LayerShift>,
): StackFinding[] {
  return found.map((one): StackFinding => {
    const layerIds = one.layers.map((k) => layers[k].id)
    const yielding = yieldingOf(one, layers)
    const layerId = yielding === null ? null : layers[yielding].id
    if (one.notchesHz.length === 0) {
      const ratio = 10 ** (-Math.abs(one.levelDb) / 20)
      const act = one.isInverted ? 'invert' : 'mute'
      return {
        kind: 'same-sound',
        layerIds,
        ...placed(one.places, spans),
        value: 20 * Math.log10(Math.max(1e-3, one.isInverted ? 1 - ratio : 1 + ratio)),
        unit: 'dB',
        evidence: { isInverted: one.isInverted, levelDb: one.levelDb },
        suggestion: layerId === null ? null : { act, layerId },
      }
    }
    return {
      kind: 'combing',
      layerIds,
      ...placed(one.places, spans),
      value: 1000 * one.lagSeconds,
      unit: 'ms',
      evidence: {
        delayMs: 1000 * one.lagSeconds,
        firstNotchHz: one.notchesHz[0],
        notchesHz: one.notchesHz,
        depthDb: one.depthDb,
        monoDepthDb: one.monoDepthDb,
        isInverted: one.isInverted,
      },
      suggestion:
        yielding === null
          ? null
          : shiftFor(yielding, 1000 * one.lagSeconds * signOf(one, yielding), layers, shifts),
    }
  })
}

/** The quieter of the two gives way, and the lead never does; null if both lead. */
function yieldingOf({ layers: [later, earlier], levelDb }: FoundCopy, layers: readonly StackLayer[]) {
  const preferred = levelDb > 0 ? [earlier, later] : [later, earlier]
  return preferred.find((k) => !layers[k].isLead) ?? null
}

/** The later of two copies is moved earlier, onto the other: the delay is then gone, and with it the comb. */
const signOf = ({ layers: [later] }: FoundCopy, yielding: number): 1 | -1 => (yielding === later ? -1 : 1)

/** A shift answers a finding if it takes away at least half of what the finding asks for. */
function shiftFor(
  layer: number,
  wantedMs: number,
  layers: readonly StackLayer[],
  shifts: ReadonlyMap<number, LayerShift>,
): StackSuggestion | null {
  const shift = shifts.get(layer)
  if (shift === undefined || Math.abs(wantedMs - shift.shiftMs) > Math.abs(wantedMs) / 2) return null
  return { act: 'shift', layerId: layers[layer].id, ...shift }
}

/**
 * One shift for each layer that combs or is early or late. Delays of copies are exact, so those of a layer that has some
 * decide alone.
 */
export function shiftsOf(
  copies: readonly FoundCopy[],
  timings: readonly LayerTiming[],
  layers: readonly StackLayer[],
): ReadonlyMap<number, LayerShift> {
  const votes = new Map<number, ShiftVote[]>()
  for (const copy of copies) {
    const yielding = copy.notchesHz.length === 0 ? null : yieldingOf(copy, layers)
    if (yielding === null) continue
    const sign = signOf(copy, yielding)
    const own = copy.delays.map(({ lagSeconds, seconds }) => ({ ms: 1000 * sign * lagSeconds, seconds }))
    votes.set(yielding, [...(votes.get(yielding) ?? []), ...own])
  }
  for (const { layer, medianMs, offsetsMs, places } of timings) {
    if (votes.has(layer) || layers[layer].isLead || Math.abs(medianMs) < LEAST_SHIFT_MS) continue
    votes.set(
      layer,
      offsetsMs.map((ms, i) => ({ ms: -ms, seconds: places[i].toS - places[i].fromS })),
    )
  }
  return new Map(
    [...votes].flatMap(([layer, own]) => {
      const shift = layerShift(own)
      return shift === null ? [] : [[layer, shift] as const]
    }),
  )
}

export function monoFindings(
  found: readonly FoundMonoLoss[],
  gram: StackGram,
  { layers, spans }: FindingContext,
): StackFinding[] {
  return found.map((one) => ({
    kind: 'mono-loss',
    layerIds: one.layers.map((k) => layers[k].id),
    ...placed([], spans),
    value: one.lossDb,
    unit: 'dB',
    evidence: { hz: one.nominalHz, fromHz: one.fromHz, toHz: one.toHz, energyShare: one.share },
    suggestion: lessCancelling(one, gram, layers),
  }))
}

/** The named layer by which 6 dB less bring most back in mono; null if none does. */
function lessCancelling(
  { layers: named, lossDb, nominalHz }: FoundMonoLoss,
  { sides, mono }: StackGram,
  layers: readonly StackLayer[],
): StackSuggestion | null {
  const band = thirdOctaveAt(nominalHz)
  const tried = named
    .filter((k) => !layers[k].isLead)
    .map((k) => {
      const gains = new Float64Array(layers.length).fill(1)
      gains[k] = 10 ** (MOST_CUT_DB / 20)
      return { k, afterDb: 10 * Math.log10(energyOf(mono, band, gains) / energyOf(sides, band, gains)) }
    })
    .filter(({ afterDb }) => afterDb > lossDb + 0.5)
    .sort((a, b) => b.afterDb - a.afterDb)
  return tried.length === 0 ? null : { act: 'gain', layerId: layers[tried[0].k].id, gainDb: MOST_CUT_DB }
}

/** One finding for all moments at which layers hiss together with one that keeps its sibilants. */
export function sibilantFindings(
  found: readonly FoundSibilants[],
  { layers }: FindingContext,
): StackFinding[] {
  return [...Map.groupBy(found, ({ kept }) => kept)]
    .map(([kept, moments]): StackFinding => {
      const counts = new Map<number, number>()
      for (const k of moments.flatMap((one) => one.layers)) counts.set(k, (counts.get(k) ?? 0) + 1)
      const layerIds = [...counts].sort((a, b) => b[1] - a[1]).map(([k]) => layers[k].id)
      const where = placed(
        moments.toSorted((a, b) => a.fromS - b.fromS),
        [],
      )
      const { fromS, toS } = where
      return {
        kind: 'sibilants-together',
        layerIds,
        ...where,
        value: Math.max(...moments.map(({ buildUpDb }) => buildUpDb)),
        unit: 'dB',
        evidence: {
          keptLayerId: layers[kept].id,
          spreadMs: Math.max(...moments.map(({ spreadMs }) => spreadMs)),
        },
        suggestion: { act: 'hold', layerIds, fromS, toS, gainDb: MOST_CUT_DB },
      }
    })
    .sort((a, b) => b.value - a.value)
}

export function timingFindings(
  found: readonly LayerTiming[],
  { layers, spans }: FindingContext,
  shifts: ReadonlyMap<number, LayerShift>,
): StackFinding[] {
  return found
    .filter(({ spreadMs, medianMs }) => spreadMs > LOOSE_MS || Math.abs(medianMs) > LOOSE_MS)
    .map(({ layer, medianMs, spreadMs, places, offsetsMs }) => ({
      kind: 'timing-spread',
      layerIds: [layers[layer].id],
      ...placed(places, spans),
      value: spreadMs,
      unit: 'ms',
      evidence: { medianMs, phrases: offsetsMs.length },
      suggestion:
        Math.abs(medianMs) < LEAST_SHIFT_MS || layers[layer].isLead
          ? null
          : shiftFor(layer, -medianMs, layers, shifts),
    }))
}
