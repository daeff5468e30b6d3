// Where a stack builds up over its lead, and through which layer. The biggest share of a band is mostly that of the
// loudest layer; a layer is to blame where its share, or its level beside the lead, is over its own median of all bands.

import { THIRD_OCTAVES } from '../analysis/spectra/third-octaves.ts'
import { dbFromPower } from '../maths/decibels.ts'
import { median } from '../maths/median.ts'
import type { Span } from '../maths/span.ts'
import type { Band } from '../stages/settings.ts'
import { dbShares } from './db-shares.ts'
import { CANCELLED, energyOf, type Gram, powerShares } from './gram.ts'
import type { MeasuredGram } from './gram-meter.ts'
import { gainsChangeDb, withBand } from './what-if.ts'

/** One third octave of a stack; null where lead or stack are silent. */
export interface BandBuildUp {
  readonly nominalHz: number
  /** The stack over the lead. */
  readonly buildUpDb: number | null
  /** Share of each layer in the energy; they add up to 1. */
  readonly shares: Float64Array | null
  /** How many dB of the build-up each layer is answerable for; they add up to it. */
  readonly sharesDb: Float64Array | null
}

/** A part of the song that was measured by itself: build-up and shares by band. */
export interface SpanBuildUp extends Span {
  readonly buildUpDb: readonly (number | null)[]
  readonly shares: readonly (Float64Array | null)[]
}

/** A layer that stands out, or a band that builds up without one that does. */
export interface FoundBuildUp {
  /** First the one to blame most. */
  readonly layers: readonly number[]
  readonly nominalHz: number
  /** By how much the stack builds up in the band through what the layer has over its own median. */
  readonly excessOfStackDb: number
  /** Build-up of the stack in the band, and how far that is over its median of all bands. */
  readonly buildUpDb: number
  readonly shapeDb: number
  /** Of the first layer: its share, that less its own median, and its level beside the lead less its own median. */
  readonly share: number
  readonly blame: number
  readonly excessDb: number
  /** What the stack has more in the band than without the first layer. */
  readonly leaveOneOutDb: number
  /** A cut on the first layer, at most 6 dB; null where no layer stands out. */
  readonly bell: { readonly layer: number; readonly band: Band; readonly predictedDb: number } | null
  readonly places: readonly Span[]
}

/** Bands from 100 Hz to 10 kHz are judged where the stack is not this far below its strongest band. */
const JUDGED_FROM_HZ = 100
const JUDGED_TO_HZ = 10_000
const JUDGED_RANGE_DB = 50
const HARSH_FROM_HZ = 1000
const HARSH_TO_HZ = 5000
/** Harsh: a mean of 2 dB over the median from 1 to 5 kHz; any band: 3.5 dB (our choice). */
const HARSH_MEAN_DB = 2
const BAND_DB = 3.5
/** A layer stands out with this much over its own median if the stack has this much more through it (our choice). */
const LEAST_EXCESS_DB = 2
const LEAST_EFFECT_DB = 0.15
/** Outside of 1 to 5 kHz, where less is heard of it. */
const LEAST_EFFECT_ELSEWHERE_DB = 1
const LEAST_BLAME = 0.03
const MOST_CUT_DB = 6
const MOST_FOUND = 6

/** The nominal bands that are called harsh where they build up. */
export const isHarsh = (nominalHz: number): boolean => nominalHz >= HARSH_FROM_HZ && nominalHz <= HARSH_TO_HZ

/** Build-up and shares of all bands, over both sides. @param withDbShares leaves out the dearer of the shares */
export function buildUpOf(gram: Gram, isLead: readonly boolean[], withDbShares = true): BandBuildUp[] {
  const leadGains = Float64Array.from(isLead, Number)
  return THIRD_OCTAVES.map(({ nominalHz }, b) => {
    const lead = energyOf(gram, b, leadGains)
    const stack = energyOf(gram, b)
    const parts = energyOfParts(gram, b)
    const hasBoth = lead > CANCELLED * parts && parts > 0
    return {
      nominalHz,
      buildUpDb: hasBoth ? dbFromPower(Math.max(stack, CANCELLED * parts) / lead) : null,
      shares: powerShares(gram, b),
      sharesDb: withDbShares ? (dbShares(gram, b, isLead)?.shares ?? null) : null,
    }
  })
}

const energyOfParts = ({ layers, products }: Gram, band: number): number => {
  let sum = 0
  for (let k = 0; k < layers; k++) sum += products[band][k * layers + k]
  return sum
}

/**
 * The layers that make the stack build up, worst first.
 * @param spans parts of the sound by themselves, for the places
 */
export function findBuildUp(
  measured: MeasuredGram,
  isLead: readonly boolean[],
  spans: readonly SpanBuildUp[],
): FoundBuildUp[] {
  const { sides } = measured
  const bands = buildUpOf(sides, isLead, false)
  const judged = judgedBands(sides, bands)
  if (judged.length < 5) return []
  const middleDb = median(judged.map((b) => bands[b].buildUpDb!))
  const shapeDb = (b: number): number => bands[b].buildUpDb! - middleDb
  const layers = isLead.flatMap((lead, k) => (lead ? [] : standingOf(k, sides, isLead, bands, judged)))
  const found: FoundBuildUp[] = []

  for (const one of layers) {
    for (const peak of one.peaks) {
      const ranked = rankedAt(layers, peak.band)
      const place = placesOf(spans, one.layer, peak.band, one.medianShare + peak.blame / 2)
      const bell = bellFor(one, peak, judged, measured)
      const effectDb = changeDb(
        sides,
        withBand(measured, one.layer, { ...bell.band, gainDb: -peak.excessDb }),
        peak.band,
      )
      const leastDb = isHarsh(THIRD_OCTAVES[peak.band].nominalHz)
        ? LEAST_EFFECT_DB
        : LEAST_EFFECT_ELSEWHERE_DB
      if (-effectDb < leastDb) continue
      found.push({
        layers: [one.layer],
        nominalHz: THIRD_OCTAVES[peak.band].nominalHz,
        excessOfStackDb: -effectDb,
        buildUpDb: bands[peak.band].buildUpDb!,
        shapeDb: shapeDb(peak.band),
        share: bands[peak.band].shares![one.layer],
        blame: peak.blame,
        excessDb: peak.excessDb,
        leaveOneOutDb: leaveOneOutDb(sides, peak.band, one.layer),
        bell,
        places:
          place.length > 0 ? place : placesOf(spans, ranked[0].layer, peak.band, Number.NEGATIVE_INFINITY),
      })
    }
  }
  found.push(...unattributed(bands, judged, shapeDb, layers, found, spans, sides))
  return found.sort((a, b) => b.excessOfStackDb - a.excessOfStackDb).slice(0, MOST_FOUND)
}

/** How far a layer's level beside the lead is over its own median, by band; NaN where it is not judged. */
interface Standing {
  readonly layer: number
  readonly medianShare: number
  readonly blames: Float64Array
  readonly excessesDb: Float64Array
  readonly peaks: readonly { readonly band: number; readonly blame: number; readonly excessDb: number }[]
}

function standingOf(
  layer: number,
  gram: Gram,
  isLead: readonly boolean[],
  bands: readonly BandBuildUp[],
  judged: readonly number[],
): Standing[] {
  const leadGains = Float64Array.from(isLead, Number)
  const own = (b: number): number => gram.products[b][layer * gram.layers + layer]
  const heard = judged.filter((b) => own(b) > CANCELLED * energyOf(gram, b, leadGains))
  if (heard.length < 5) return []
  const levels = heard.map((b) => dbFromPower(own(b) / energyOf(gram, b, leadGains)))
  const shares = heard.map((b) => bands[b].shares![layer])
  const middleLevel = median(levels)
  const medianShare = median(shares)
  const blames = new Float64Array(THIRD_OCTAVES.length).fill(Number.NaN)
  const excessesDb = new Float64Array(THIRD_OCTAVES.length).fill(Number.NaN)
  for (const [i, b] of heard.entries()) {
    blames[b] = shares[i] - medianShare
    excessesDb[b] = levels[i] - middleLevel
  }
  const isOver = (b: number): boolean =>
    excessesDb[b] >= LEAST_EXCESS_DB && blames[b] >= LEAST_BLAME && bands[b].buildUpDb !== null
  const peaks = heard
    .filter((b) => isOver(b) && !(excessesDb[b - 1] > excessesDb[b]) && !(excessesDb[b + 1] >= excessesDb[b]))
    .map((band) => ({ band, blame: blames[band], excessDb: excessesDb[band] }))
  return [{ layer, medianShare, blames, excessesDb, peaks }]
}

/** Layers by their blame in a band, the greatest first. */
const rankedAt = (layers: readonly Standing[], band: number): readonly Standing[] =>
  layers.filter(({ blames }) => !Number.isNaN(blames[band])).sort((a, b) => b.blames[band] - a.blames[band])

function judgedBands(gram: Gram, bands: readonly BandBuildUp[]): number[] {
  const levels = bands.map((_, b) => dbFromPower(energyOf(gram, b)))
  const strongest = Math.max(...levels)
  return bands.flatMap(({ nominalHz, buildUpDb, shares }, b) =>
    nominalHz >= JUDGED_FROM_HZ &&
    nominalHz <= JUDGED_TO_HZ &&
    buildUpDb !== null &&
    shares !== null &&
    levels[b] > strongest - JUDGED_RANGE_DB
      ? [b]
      : [],
  )
}

/** A cut as wide as what stands out, at least half an octave and at most two, and its effect on the stack. */
function bellFor(
  { layer, excessesDb }: Standing,
  { band, excessDb }: Standing['peaks'][number],
  judged: readonly number[],
  measured: MeasuredGram,
): NonNullable<FoundBuildUp['bell']> {
  const isPart = (b: number): boolean => judged.includes(b) && excessesDb[b] > excessDb / 2
  let first = band
  let last = band
  while (isPart(first - 1) && first > band - 3) first--
  while (isPart(last + 1) && last < band + 3) last++
  let [sum, weighted] = [0, 0]
  for (let b = first; b <= last; b++) {
    sum += excessesDb[b]
    weighted += excessesDb[b] * Math.log2(THIRD_OCTAVES[b].midHz)
  }
  const octaves = Math.min(2, Math.max(0.5, (last - first + 1) / 3))
  const cut: Band = {
    shape: 'bell',
    frequencyHz: Math.round(2 ** (weighted / sum)),
    gainDb: -Math.round(10 * Math.min(excessDb, MOST_CUT_DB)) / 10,
    // Of the cookbook's bandwidth in octaves.
    q: Math.round(100 / (2 * Math.sinh((Math.LN2 / 2) * octaves))) / 100,
  }
  return { layer, band: cut, predictedDb: changeDb(measured.sides, withBand(measured, layer, cut), band) }
}

function changeDb(before: Gram, after: Gram, band: number): number {
  return dbFromPower(
    Math.max(energyOf(after, band), CANCELLED * energyOf(before, band)) / energyOf(before, band),
  )
}

function leaveOneOutDb(gram: Gram, band: number, layer: number): number {
  const gains = new Float64Array(gram.layers).fill(1)
  gains[layer] = 0
  return -(gainsChangeDb(gram, band, gains) ?? 0)
}

/** Bands that build up although no single layer stands out there. */
function unattributed(
  bands: readonly BandBuildUp[],
  judged: readonly number[],
  shapeDb: (b: number) => number,
  layers: readonly Standing[],
  found: readonly FoundBuildUp[],
  spans: readonly SpanBuildUp[],
  gram: Gram,
): FoundBuildUp[] {
  const harsh = judged.filter((b) => isHarsh(bands[b].nominalHz))
  const meanHarsh = harsh.reduce((sum, b) => sum + shapeDb(b), 0) / Math.max(1, harsh.length)
  const worstHarsh = harsh.toSorted((a, b) => shapeDb(b) - shapeDb(a)).slice(0, 1)
  const over = judged.filter(
    (b) => shapeDb(b) >= BAND_DB && !(shapeDb(b - 1) > shapeDb(b)) && !(shapeDb(b + 1) >= shapeDb(b)),
  )
  const asked = new Set([...over, ...(meanHarsh >= HARSH_MEAN_DB ? worstHarsh : [])])
  return [...asked].flatMap((b) => {
    const isNear = ({ nominalHz }: FoundBuildUp): boolean =>
      Math.abs(Math.log2(nominalHz / bands[b].nominalHz)) < 0.7
    const ranked = rankedAt(layers, b)
    if (found.some(isNear) || ranked.length === 0) return []
    const first = ranked[0]
    return [
      {
        layers: ranked.filter(({ blames }) => blames[b] > LEAST_BLAME / 2).map(({ layer }) => layer),
        nominalHz: bands[b].nominalHz,
        excessOfStackDb: shapeDb(b),
        buildUpDb: bands[b].buildUpDb!,
        shapeDb: shapeDb(b),
        share: bands[b].shares![first.layer],
        blame: first.blames[b],
        excessDb: first.excessesDb[b],
        leaveOneOutDb: leaveOneOutDb(gram, b, first.layer),
        bell: null,
        places: placesOf(spans, first.layer, b, bands[b].shares![first.layer]),
      },
    ]
  })
}

/** The parts in which a layer's share of a band reaches `least`. */
const placesOf = (spans: readonly SpanBuildUp[], layer: number, band: number, least: number): Span[] =>
  spans.flatMap(({ fromS, toS, shares }) => {
    const row = shares[band]
    return row !== null && row[layer] >= least ? [{ fromS, toS }] : []
  })
