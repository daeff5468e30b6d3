// What a repair of a file did: what was mended with its measured amount, and what was found and left alone.

import { z } from 'zod'
import type { RefusalReason, RepairKind } from '../../dsp/repair/patch.ts'

/** Kinds of repair, as the options of the command line are called. */
const RepairKindName = z.enum(['clipped', 'clicks', 'pops', 'breaths', 'hum'])

/** Where a repair is in the take, in seconds; outside these spans nothing was changed. */
const Repaired = z.object({
  fromS: z.number(),
  toS: z.number(),
  /** Numbers of the channels, from 1. */
  channels: z.array(z.int().positive()).readonly(),
})

export const Repair = z.discriminatedUnion('kind', [
  /** Greatest rise of a peak over the level it was clipped at; runs of samples at that level. */
  Repaired.extend({ kind: z.literal('clipped'), raisedDb: z.number(), runs: z.int().positive() }),
  /** Peak of what was taken away. */
  Repaired.extend({ kind: z.literal('clicks'), removedDbfs: z.number() }),
  /** Fall of the power below the voice within the span. */
  Repaired.extend({ kind: z.literal('pops'), reductionDb: z.number() }),
  /** How far the breath was turned down. */
  Repaired.extend({ kind: z.literal('breaths'), reductionDb: z.number() }),
  /** RMS of what was taken away, and how far its harmonics fall in the pauses. */
  Repaired.extend({
    kind: z.literal('hum'),
    removedDbfs: z.number(),
    reductionDb: z.number(),
    fundamentalHz: z.number(),
    harmonics: z.array(z.int().positive()).readonly(),
    /** Whether its phase follows the fundamental, or stays fixed because there is none. */
    phase: z.enum(['followed', 'fixed']),
  }),
])
export type Repair = z.infer<typeof Repair>

const RefusalReasonName = z.enum([
  'silent',
  'too-short',
  'not-one-voice',
  'no-pauses',
  'too-long',
  'too-deep',
  'no-surroundings',
  'bent-tops',
  'still-heard',
  'voice-too-low',
  'pop-unchanged',
  'not-mains',
  'wrong-rate',
  'hum-unchanged',
  'beside-the-end',
])

/** Something that was asked for or found, and left as it is. */
export const RefusedRepair = z.object({
  kind: RepairKindName,
  fromS: z.number(),
  toS: z.number(),
  why: RefusalReasonName,
})
export type RefusedRepair = z.infer<typeof RefusedRepair>

/** Outcome of the repair of one file. */
export const RepairReport = z.object({
  sampleRateHz: z.number(),
  channels: z.int().positive(),
  frames: z.int().nonnegative(),
  /** Of the written files; floats where a mended peak is beyond full scale and the take has integers. */
  encoding: z.enum(['pcm-8', 'pcm-16', 'pcm-24', 'pcm-32', 'float-32', 'float-64']),
  repairs: z.array(Repair).readonly(),
  refused: z.array(RefusedRepair).readonly(),
})
export type RepairReport = z.infer<typeof RepairReport>

// Compile-time check that the engine's kinds and reasons and these schemas match.
null as unknown as z.infer<typeof RepairKindName> satisfies RepairKind
null as unknown as RepairKind satisfies z.infer<typeof RepairKindName>
null as unknown as z.infer<typeof RefusalReasonName> satisfies RefusalReason
null as unknown as RefusalReason satisfies z.infer<typeof RefusalReasonName>
