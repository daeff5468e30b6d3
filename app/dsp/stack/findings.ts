// Turns what was found on a stack into findings with places, figures and suggestions.

import { thirdOctaveAt } from '../analysis/spectra/third-octaves.ts'
import type { Span } from '../maths/span.ts'
import { type FoundBuildUp, isHarsh } from './build-up.ts'
import type { FoundCopy } from './combing.ts'
import { energyOf, type StackGram } from './gram.ts'
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

export function copyFindings(found: readonly FoundCopy[], { layers, spans }: FindingContext): StackFinding[] {
  return found.map((one): StackFinding => {
    const layerIds = one.layers.map((k) => layers[k].id)
    // The quieter of the two gives way, and the lead never does.
    const [later, earlier] = one.layers
    const preferred = one.levelDb > 0 ? [earlier, later] : [later, earlier]
    const yielding = preferred.find((k) => !layers[k].isLead)
    const layerId = yielding === undefined ? null : layers[yielding].id
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
    // The copy is moved onto the other: the delay is then gone, and with it the comb.
    const shiftMs = 1000 * one.lagSeconds * (yielding === later ? -1 : 1)
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
      suggestion: layerId === null ? null : { act: 'shift', layerId, shiftMs },
    }
  })
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

export function sibilantFindings(
  found: readonly FoundSibilants[],
  { layers }: FindingContext,
): StackFinding[] {
  return found.map(({ layers: held, kept, buildUpDb, spreadMs, fromS, toS }) => ({
    kind: 'sibilants-together',
    layerIds: held.map((k) => layers[k].id),
    fromS,
    toS,
    places: [{ fromS, toS }],
    value: buildUpDb,
    unit: 'dB',
    evidence: { keptLayerId: layers[kept].id, spreadMs },
    suggestion: { act: 'hold', layerIds: held.map((k) => layers[k].id), fromS, toS, gainDb: MOST_CUT_DB },
  }))
}

export function timingFindings(
  found: readonly LayerTiming[],
  { layers, spans }: FindingContext,
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
          : { act: 'shift', layerId: layers[layer].id, shiftMs: -medianMs },
    }))
}
