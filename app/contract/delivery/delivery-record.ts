// A delivery as the catalogue keeps it: where it went, what it was made from, and what changed since the one before.

import { z } from 'zod'
import { Id, Sha256 } from '../entities.ts'
import { MAX_SECTIONS } from '../sections/section.ts'
import { listOf } from '../text/bounded.ts'
import { MAX_GROUPS, MAX_LAYERS, MAX_NAME } from '../text/limits.ts'
import { DeliveryChange } from './delivery-change.ts'
import { DeliveryContents, DeliveryEncoding } from './delivery-request.ts'

const Text = z.string().max(2 * MAX_NAME)

/** A named range of the song, or a place in it. */
export const DeliveryMarker = z.strictObject({
  name: Text,
  /** Session frame. */
  startFrame: z.int(),
  /** 0 for a place. */
  frames: z.int().nonnegative(),
  note: z.string().max(10_000),
})
export type DeliveryMarker = z.infer<typeof DeliveryMarker>

/** Everything that a later delivery is compared with. */
export const DeliverySource = z.strictObject({
  program: Text,
  sampleRateHz: z.int().positive(),
  encoding: DeliveryEncoding,
  template: Text,
  contents: DeliveryContents,
  /** Name of the range; empty for the whole song. */
  range: Text,
  tempo: z.string(),
  groups: listOf(z.strictObject({ id: Id, name: Text, gainDb: z.number() }), MAX_GROUPS),
  layers: listOf(
    z.strictObject({
      id: Id,
      name: Text,
      group: Text,
      take: Text,
      takeSha256: Sha256,
      offsetSamples: z.int(),
      gainDb: z.number(),
      pan: z.number(),
      polarityInverted: z.literal(true).optional(),
    }),
    MAX_LAYERS,
  ),
  /** `of`: the group; empty for the chain that all share. `hash`: of the stages as they run. */
  chains: listOf(
    z.strictObject({ of: Text, name: Text, number: z.int().nonnegative(), hash: Sha256 }),
    MAX_GROUPS,
  ),
  markers: listOf(DeliveryMarker, MAX_SECTIONS),
})
export type DeliverySource = z.infer<typeof DeliverySource>

/** A delivery that went out. */
export const DeliveryRecord = z.object({
  id: Id,
  sessionId: Id,
  songTitle: z.string(),
  artistName: z.string(),
  /** Counts from 1 within the session. */
  number: z.int().positive(),
  /** Absolute path of its folder. */
  folder: z.string(),
  manifestSha256: Sha256,
  files: z.int().nonnegative(),
  bytes: z.int().nonnegative(),
  /** Since the delivery before; empty for the first one. */
  changes: z.array(DeliveryChange),
  createdAt: z.iso.datetime(),
})
export type DeliveryRecord = z.infer<typeof DeliveryRecord>
