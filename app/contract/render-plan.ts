// A render plan: everything that determines the samples of a stack, fully resolved, as plain data.
// The engine renders it, the manifest of a bounce stores it, and verify renders it again.

import { z } from 'zod'
import type { StageSetup as EngineStageSetup } from '../dsp/stages/settings.ts'
import { Band, stageSettings } from './chain-document.ts'
import {
  ChainSharing,
  GroupGainDb,
  Id,
  LayerGainDb,
  OffsetSamples,
  PanLaw,
  Role,
  Sha256,
} from './entities.ts'
import { inOrder, PlannedPassage } from './passages/passage.ts'
import { listOf, SampleRate } from './text/bounded.ts'
import {
  MAX_BANDS,
  MAX_FRAMES,
  MAX_GROUPS,
  MAX_LAYERS,
  MAX_NAME,
  MAX_OFFSET_FRAMES,
  MAX_PLANNED_PASSAGES,
  MAX_PLANNED_TAKES,
  MAX_STAGES,
} from './text/limits.ts'

/** The correction fitted for one take's mic, after the proximity shelf if there is one. */
const MicCorrectionSetup = z.strictObject({ bands: listOf(Band, MAX_BANDS + 1) })

const setupOf = <K extends string, S extends z.ZodType>(kind: K, settings: S) =>
  z.strictObject({ kind: z.literal(kind), settings })

/** A stage ready to run: as in a chain, with the mic correction already fitted. */
export const StageSetup = z.discriminatedUnion('kind', [
  setupOf('trim', stageSettings.trim),
  setupOf('expander', stageSettings.expander),
  setupOf('mic-correction', MicCorrectionSetup),
  setupOf('low-cut', stageSettings['low-cut']),
  setupOf('tone', stageSettings.tone),
  setupOf('de-ess', stageSettings['de-ess']),
  setupOf('drive', stageSettings.drive),
  setupOf('opto', stageSettings.opto),
  setupOf('ceiling', stageSettings.ceiling),
])
export type StageSetup = z.infer<typeof StageSetup>
null as unknown as StageSetup satisfies EngineStageSetup

const StageSetups = listOf(StageSetup, MAX_STAGES)

const PlannedTake = z.strictObject({
  sha256: Sha256,
  sampleRateHz: SampleRate,
  channels: z.int().min(1).max(2),
  frames: z.int().min(1).max(MAX_FRAMES),
  encoding: z.string().max(MAX_NAME),
})

/** One layer of a plan; offset in frames of the session, gain in dB. */
export const PlannedLayer = z.strictObject({
  id: Id,
  groupId: Id,
  name: z.string().max(MAX_NAME),
  role: Role,
  take: PlannedTake,
  offsetSamples: OffsetSamples,
  gainDb: LayerGainDb,
  pan: z.number().min(-1).max(1),
  /**
   * Whether the polarity is inverted. Absent if not, so that plans of before have the hash that dither and originator
   * references come from.
   */
  polarityInverted: z.literal(true).optional(),
  /** Stages that run on this layer before the sum; with passages, on those of its own take. */
  stages: StageSetups,
  /** Absent where the layer is its take as a whole, at its offset. */
  passages: z
    .strictObject({
      /** Takes besides the layer's own, each through stages of its own before the join. */
      furtherTakes: listOf(z.strictObject({ take: PlannedTake, stages: StageSetups }), MAX_PLANNED_TAKES),
      list: inOrder(PlannedPassage),
    })
    .optional(),
})
export type PlannedLayer = z.infer<typeof PlannedLayer>

/** One group of a plan. */
export const PlannedGroup = z.strictObject({
  id: Id,
  name: z.string().max(MAX_NAME),
  gainDb: GroupGainDb,
  /** The group's own chain; empty while the chain is shared. */
  stages: StageSetups,
})
export type PlannedGroup = z.infer<typeof PlannedGroup>

const sumOver = (layers: readonly PlannedLayer[], count: (layer: PlannedLayer) => number): number =>
  layers.reduce((sum, layer) => sum + count(layer), 0)

/** Everything that determines the samples of a stack. */
export const RenderPlan = z.strictObject({
  sampleRateHz: SampleRate,
  panLaw: PanLaw,
  /** Session time of the first frame, in frames; at or before zero. */
  startFrame: z.int().min(-MAX_OFFSET_FRAMES).max(0),
  frames: z.int().nonnegative().max(MAX_FRAMES),
  sharing: ChainSharing,
  /** The chain that reacts to the whole stack; empty while every group has its own. */
  sharedStages: StageSetups,
  groups: listOf(PlannedGroup, MAX_GROUPS, 1),
  /** Muted layers are not in the plan. */
  layers: listOf(PlannedLayer, MAX_LAYERS, 1)
    .refine(
      (layers) => sumOver(layers, ({ passages }) => passages?.list.length ?? 0) <= MAX_PLANNED_PASSAGES,
      `a plan has at most ${MAX_PLANNED_PASSAGES} passages`,
    )
    .refine(
      (layers) =>
        sumOver(layers, ({ passages }) => 1 + (passages?.furtherTakes.length ?? 0)) <= MAX_PLANNED_TAKES,
      `the layers of a plan have at most ${MAX_PLANNED_TAKES} takes`,
    ),
})
export type RenderPlan = z.infer<typeof RenderPlan>
