// What a delivery is asked to contain.

import { z } from 'zod'
import { Id, SESSION_RATES_HZ } from '../entities.ts'
import { SongRange } from '../sections/song-range.ts'
import { DEFAULT_TEMPLATE, NameTemplate } from './name-template.ts'

/** Sample rates of delivered files. */
export const DELIVERY_RATES_HZ = SESSION_RATES_HZ
export const DeliveryRate = z.union(DELIVERY_RATES_HZ.map((rate) => z.literal(rate)))

/** Sample formats of delivered files; the integer ones are dithered. */
export const DeliveryEncoding = z.enum(['pcm-16', 'pcm-24', 'float-32'])
export type DeliveryEncoding = z.infer<typeof DeliveryEncoding>

/** The parts of a delivery beside its sheet, markers and hashes, which are always in it. */
export const DeliveryContents = z.object({
  /** A processed stem for each group. */
  groups: z.boolean().default(true),
  /** A processed stem for each layer: with gain, without pan. */
  layers: z.boolean().default(false),
  /** The takes byte for byte. */
  raw: z.boolean().default(true),
  /** The takes unprocessed, each from the common start. */
  aligned: z.boolean().default(true),
  /** The stack as it is heard. */
  reference: z.boolean().default(true),
})
export type DeliveryContents = z.infer<typeof DeliveryContents>
/** All of them but the stems of layers. */
const USUAL_CONTENTS: DeliveryContents = DeliveryContents.parse({})

/** A delivery as asked for; without `sampleRateHz` at the rate of the session. */
export const DeliveryRequest = z.object({
  sessionId: Id,
  sampleRateHz: DeliveryRate.nullable().default(null),
  encoding: DeliveryEncoding.default('pcm-24'),
  template: NameTemplate.default(DEFAULT_TEMPLATE),
  contents: DeliveryContents.default(USUAL_CONTENTS).refine(
    (contents) => Object.values(contents).some((isWanted) => isWanted),
    'a delivery needs stems, takes or the reference; choose at least one',
  ),
  range: SongRange.default({ kind: 'song' }),
})
export type DeliveryRequest = z.infer<typeof DeliveryRequest>
