// A render plan: all that decides the samples of a stack, resolved, as plain data. The
// engine renders it, the manifest of a bounce keeps it, and verify renders it again.

import { z } from 'zod'
import type { StageSetup as EngineStageSetup } from '../dsp/stages/settings.ts'
import { Band, stageSettings } from './chain-document.ts'
import { ChainSharing, Id, PanLaw, Role, Sha256 } from './entities.ts'

/** The correction as fitted for one take's mic. */
const MicCorrectionSetup = z.strictObject({ bands: z.array(Band) })

const setupOf = <K extends string, S extends z.ZodType>(kind: K, settings: S) =>
  z.strictObject({ kind: z.literal(kind), settings })

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

export const PlannedLayer = z.strictObject({
  id: Id,
  groupId: Id,
  name: z.string(),
  role: Role,
  take: z.strictObject({
    sha256: Sha256,
    sampleRateHz: z.int().positive(),
    channels: z.int().min(1).max(2),
    frames: z.int().nonnegative(),
    encoding: z.string(),
  }),
  offsetSamples: z.int(),
  gainDb: z.number(),
  pan: z.number().min(-1).max(1),
  /** What runs on this layer before the sum. */
  stages: z.array(StageSetup),
})
export type PlannedLayer = z.infer<typeof PlannedLayer>

export const PlannedGroup = z.strictObject({
  id: Id,
  name: z.string(),
  gainDb: z.number(),
  /** The group's own chain; empty while the chain is shared. */
  stages: z.array(StageSetup),
})
export type PlannedGroup = z.infer<typeof PlannedGroup>

export const RenderPlan = z.strictObject({
  sampleRateHz: z.int().positive(),
  panLaw: PanLaw,
  /** Session time of the first frame, in frames; at or before zero. */
  startFrame: z.int().max(0),
  frames: z.int().nonnegative(),
  sharing: ChainSharing,
  /** The one chain that listens to the whole stack; empty while every group has its own. */
  sharedStages: z.array(StageSetup),
  groups: z.array(PlannedGroup),
  /** Muted layers are not in the plan. */
  layers: z.array(PlannedLayer),
})
export type RenderPlan = z.infer<typeof RenderPlan>
