// The check of a session's stack: what builds up over the lead, when, and through which layer.

import { z } from 'zod'
import type { StackFinding as EngineStackFinding } from '../../dsp/stack/stack-finding.ts'
import { Place } from '../finding.ts'

const Id = z.int().positive()
const Ids = z.array(Id).readonly()

/** One bounded act on a layer, never on the lead; see the engine's type for each field. */
export const StackSuggestion = z.discriminatedUnion('act', [
  z.object({
    act: z.literal('bell'),
    layerId: Id,
    frequencyHz: z.number(),
    gainDb: z.number(),
    q: z.number(),
    predictedDb: z.number(),
  }),
  z.object({ act: z.literal('gain'), layerId: Id, gainDb: z.number() }),
  z.object({ act: z.literal('mute'), layerId: Id }),
  z.object({ act: z.literal('invert'), layerId: Id }),
  z.object({ act: z.literal('shift'), layerId: Id, shiftMs: z.number(), spreadMs: z.number() }),
  z.object({
    act: z.literal('hold'),
    layerIds: Ids,
    fromS: z.number(),
    toS: z.number(),
    gainDb: z.number(),
  }),
])
export type StackSuggestion = z.infer<typeof StackSuggestion>

const figures = {
  layerIds: Ids,
  fromS: z.number(),
  toS: z.number(),
  value: z.number(),
  unit: z.string(),
  places: z.array(Place).readonly(),
  suggestion: StackSuggestion.nullable(),
}
const finding = <const K extends string, E extends z.ZodRawShape>(kind: K, evidence: E) =>
  z.object({ kind: z.literal(kind), ...figures, evidence: z.object(evidence) })

const builtUp = {
  hz: z.number(),
  buildUpDb: z.number(),
  shapeDb: z.number(),
  share: z.number(),
  shareOverMedian: z.number(),
  excessDb: z.number(),
  leaveOneOutDb: z.number(),
}

/** One finding; see the engine's type for what its value and evidence are. */
export const StackFinding = z.discriminatedUnion('kind', [
  finding('harsh-build-up', builtUp),
  finding('build-up', builtUp),
  finding('combing', {
    delayMs: z.number(),
    firstNotchHz: z.number(),
    notchesHz: z.array(z.number()).readonly(),
    depthDb: z.number(),
    monoDepthDb: z.number(),
    isInverted: z.boolean(),
  }),
  finding('same-sound', { isInverted: z.boolean(), levelDb: z.number() }),
  finding('mono-loss', {
    hz: z.number(),
    fromHz: z.number(),
    toHz: z.number(),
    energyShare: z.number(),
  }),
  finding('covered-lead', { withoutFirst: z.number() }),
  finding('sibilants-together', { keptLayerId: Id, spreadMs: z.number() }),
  finding('timing-spread', { medianMs: z.number(), phrases: z.int().nonnegative() }),
])
export type StackFinding = z.infer<typeof StackFinding>

const Share = z.object({ layerId: Id, share: z.number() })

/** What was measured of a stack. */
export const StackCheck = z.object({
  /** What was checked, in seconds of the session. */
  fromS: z.number(),
  toS: z.number(),
  layers: z.array(z.object({ layerId: Id, name: z.string(), isLead: z.boolean() })).readonly(),
  /** Third octaves from 50 Hz to 16 kHz, over the phrases of the lead. */
  bands: z
    .array(
      z.object({
        hz: z.number(),
        /** The stack over the lead; null where the lead is silent. */
        buildUpDb: z.number().nullable(),
        /** Shares of the energy, which add up to 1; below 0 where a layer cancels. Empty where the stack is silent. */
        shares: z.array(Share).readonly(),
        /** How much of the build-up each layer is answerable for, in dB; they add up to it. */
        sharesDb: z.array(Share).readonly(),
      }),
    )
    .readonly(),
  /** What is lost in mono: by band, with what each layer loses of the band's energy. */
  mono: z
    .array(
      z.object({
        hz: z.number(),
        lossDb: z.number(),
        energyShare: z.number(),
        lost: z.array(Share).readonly(),
      }),
    )
    .readonly(),
  /** The phrases by themselves, in the bands' order. */
  spans: z
    .array(
      Place.extend({
        buildUpDb: z.array(z.number().nullable()).readonly(),
        /** One row for each layer, in the order of `layers`; null where the band is silent. */
        shares: z.array(z.array(z.number().nullable()).readonly()).readonly(),
        /** Share of the lead's cells in time and frequency that is heard. */
        glimpsedShare: z.number().nullable(),
      }),
    )
    .readonly(),
  timings: z
    .array(z.object({ layerId: Id, medianMs: z.number(), spreadMs: z.number(), phrases: z.int() }))
    .readonly(),
  findings: z.array(StackFinding).readonly(),
  /** Sentences on what the check could not do. */
  remarks: z.array(z.string()).readonly(),
})
export type StackCheck = z.infer<typeof StackCheck>

// Compile-time check that the engine's type and this schema match.
null as unknown as StackFinding satisfies EngineStackFinding
null as unknown as EngineStackFinding satisfies StackFinding
