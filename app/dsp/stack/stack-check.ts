// The check of a stack: layers as they are heard, behind their chains, with gain and pan, are added block by block;
// at the end there are the build-up by third octaves with the share of each layer, and findings with their places.

import { createShortFrames } from '../analysis/sibilance/sibilance.ts'
import { dbFromPower } from '../maths/decibels.ts'
import type { Span } from '../maths/span.ts'
import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { type BandBuildUp, buildUpOf, findBuildUp, type SpanBuildUp } from './build-up.ts'
import { type FoundCopy, findCopies, type KnownCopy } from './combing.ts'
import { type Covered, coveredLead } from './covered-lead.ts'
import {
  buildUpFindings,
  copyFindings,
  monoFindings,
  shiftsOf,
  sibilantFindings,
  timingFindings,
} from './findings.ts'
import { createGlimpseMeter } from './glimpses.ts'
import { createGramMeter } from './gram-meter.ts'
import { createClipKeeper } from './layer-clips.ts'
import { findMonoLoss, type MonoLossBand, monoLosses } from './mono-loss.ts'
import { findSibilants } from './sibilants.ts'
import type { StackFinding } from './stack-finding.ts'
import { blocksOf, type FrameSpan, type StackLayer, signalsOf } from './stack-layers.ts'
import { FEWEST_PHRASES, type LayerTiming, offsetsIn, timingsOf } from './timing.ts'

/** A measured part of the song. */
interface CheckedSpan extends SpanBuildUp {
  /** Share of the lead's cells that is heard; null where the lead is silent. */
  readonly glimpsedShare: number | null
}

/** Everything that was measured. */
export interface CheckedStack {
  readonly bands: readonly BandBuildUp[]
  readonly mono: readonly MonoLossBand[]
  readonly spans: readonly CheckedSpan[]
  readonly timings: readonly LayerTiming[]
  readonly findings: readonly StackFinding[]
}

interface StackCheck {
  /** @param blocks one for each layer, with its channels; finite values only */
  add(blocks: readonly Channels[], frames: number): void
  /** Whether anything was heard so far. */
  isSilent(): boolean
  /** @param onProgress called with the fraction done; throws to stop */
  finish(onProgress: (fraction: number) => void): CheckedStack
}

/** What is checked. */
export interface StackCheckSetup {
  readonly sampleRateHz: number
  readonly layers: readonly StackLayer[]
  /** Phrases of the lead, or other parts, in order and not overlapping; what lies outside is not measured. */
  readonly spans: readonly FrameSpan[]
  /** Layers of one take, by their places. */
  readonly known: readonly KnownCopy[]
  /** Seconds of the session at the first frame that is added. */
  readonly startS: number
}

/** Fewer phrases than three are enough for a judgement if they are this long. */
const ENOUGH_SECONDS = 6

export function createStackCheck({
  sampleRateHz,
  layers,
  spans,
  known,
  startS,
}: StackCheckSetup): StackCheck {
  const isLead = layers.map((layer) => layer.isLead)
  const signals = signalsOf(layers)
  const places = spans.map(({ from, to }) => ({
    fromS: startS + from / sampleRateHz,
    toS: startS + to / sampleRateHz,
  }))
  const builtUp: SpanBuildUp[] = []
  const gram = createGramMeter(sampleRateHz, layers, spans, (span, { sides }) => {
    const bands = buildUpOf(sides, isLead, false)
    builtUp.push({
      ...places[span],
      buildUpDb: bands.map(({ buildUpDb }) => buildUpDb),
      shares: bands.map(({ shares }) => shares),
    })
  })
  const covered: Covered[] = []
  const offsets: Float64Array[] = []
  const glimpses = createGlimpseMeter(sampleRateHz, layers, spans, (glimpsed) => {
    covered.push({
      ...places[glimpsed.span],
      share: glimpsed.share,
      shareWithout: glimpsed.shareWithout,
    })
    offsets.push(offsetsIn(glimpsed, isLead))
  })
  const clips = createClipKeeper(sampleRateHz, signals, layers.length, spans)
  const hiss = layers.map(() => createShortFrames(sampleRateHz))
  const mono = new Float64Array(BLOCK_FRAMES)
  let isSilent = true

  const hissFindings = (): StackFinding[] => {
    const sibilants = hiss.flatMap((frames, layer) => {
      const { channels } = layers[layer]
      const power = channels.reduce((sum, { left, right }) => sum + left * left + right * right, 0)
      const gainDb = dbFromPower(power / channels.length)
      return frames.finish().sibilants.map(({ startSeconds, endSeconds, levelDbfs }) => ({
        layer,
        fromS: startS + startSeconds,
        toS: startS + endSeconds,
        levelDbfs: levelDbfs + gainDb,
      }))
    })
    return sibilantFindings(findSibilants(sibilants, isLead), { layers, spans: places })
  }

  return {
    isSilent: () => isSilent,
    add(blocks, frames) {
      const flat = blocksOf(blocks)
      for (let c = 0; c < flat.length && isSilent; c++) {
        const { left, right } = signals[c]
        if (left === 0 && right === 0) continue
        for (let i = 0; i < frames && isSilent; i++) if (Math.abs(flat[c][i]) > SILENCE) isSilent = false
      }
      gram.add(flat, frames)
      glimpses.add(flat, frames)
      clips.add(flat, frames)
      for (let k = 0; k < layers.length; k++) {
        hiss[k].add(monoOf(blocks[k], frames, mono), frames)
      }
    },
    finish(onProgress) {
      const measured = gram.finish()
      glimpses.finish()
      const context = { layers, spans: places }
      const monoBands = monoLosses(measured)
      const copies = findCopies(clips.clips(), layers, known, sampleRateHz, onProgress).map((copy) => ({
        ...copy,
        places: copy.places.map(({ fromS, toS }) => ({ fromS: startS + fromS, toS: startS + toS })),
      }))
      const timings = timingsOf(offsets, covered, layers.length)
      const shifts = shiftsOf(copies, timings, layers)
      return {
        bands: buildUpOf(measured.sides, isLead),
        mono: monoBands,
        spans: builtUp.map((one) => ({
          ...one,
          glimpsedShare: covered.find(({ fromS }) => fromS === one.fromS)?.share ?? null,
        })),
        timings,
        findings: [
          ...(isEnough(places) ? buildUpFindings(findBuildUp(measured, isLead, builtUp), context) : []),
          ...copyFindings(copies, context, shifts),
          ...monoFindings(findMonoLoss(monoBands), measured, context),
          ...coveredLead(covered, layers, copiesOfLead(copies, isLead)),
          ...hissFindings(),
          ...timingFindings(timings, context, shifts),
        ],
      }
    },
  }
}

/** The mean of two channels, in `mono`; one channel as it is. */
function monoOf(channels: Channels, frames: number, mono: Float64Array): Float64Array {
  if (channels.length === 1) return channels[0]
  const [left, right] = channels
  for (let i = 0; i < frames; i++) mono[i] = left[i] / 2 + right[i] / 2
  return mono
}

const copiesOfLead = (copies: readonly FoundCopy[], isLead: readonly boolean[]): ReadonlySet<number> =>
  new Set(copies.flatMap((copy) => (copy.layers.some((k) => isLead[k]) ? copy.layers : [])))

/** -100 dBFS: less than the dither of 16 bits leaves. */
const SILENCE = 1e-5

/** Cross terms of unrelated layers are up to a seventh of the sum in one phrase; over three they are a tenth. */
const isEnough = (places: readonly Span[]): boolean =>
  places.length >= FEWEST_PHRASES ||
  places.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0) >= ENOUGH_SECONDS
