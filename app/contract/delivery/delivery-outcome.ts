// What a delivery will be, and what it became.

import { z } from 'zod'
import { DeliveryChange } from './delivery-change.ts'
import { DeliveryEncoding } from './delivery-request.ts'

const FILE_KINDS = ['group', 'layer', 'aligned', 'reference', 'raw', 'document'] as const

/** A file before it is written. */
export const PlannedFile = z.object({
  /** Relative to the delivery's folder. */
  path: z.string(),
  kind: z.enum(FILE_KINDS),
  /** True name of what it holds. */
  name: z.string(),
  /** As estimated; exact for sound. */
  bytes: z.int().nonnegative(),
})
export type PlannedFile = z.infer<typeof PlannedFile>

/** What a delivery would contain. */
export const DeliveryPreview = z.object({
  /** Which delivery of the session it would be. */
  number: z.int().positive(),
  /** Name of its folder. */
  folderName: z.string(),
  /** Name of the first file: the template in use. */
  example: z.string(),
  sampleRateHz: z.int().positive(),
  encoding: DeliveryEncoding,
  /** Of every rendered file. */
  seconds: z.number(),
  /** Name of the section; empty for the whole song. */
  rangeName: z.string(),
  /** Each chain once; `number` 0 and an empty name where a group has none. */
  chains: z.array(z.object({ of: z.string(), name: z.string(), number: z.int().nonnegative() })),
  files: z.array(PlannedFile),
  bytes: z.int().nonnegative(),
  /** Since the delivery before. */
  changes: z.array(DeliveryChange),
  /** Sentences on converted rates and the like. */
  remarks: z.array(z.string()),
})
export type DeliveryPreview = z.infer<typeof DeliveryPreview>

/** The folder that a delivery wrote. */
export const DeliveryOutcome = z.object({
  /** Absolute path. */
  folder: z.string(),
  manifest: z.string(),
  number: z.int().positive(),
  files: z.array(
    PlannedFile.extend({
      sha256: z.string(),
      /** Levels of rendered files; null for all others, and for silence. */
      integratedLufs: z.number().nullable(),
      truePeakDbtp: z.number().nullable(),
    }),
  ),
  changes: z.array(DeliveryChange),
  remarks: z.array(z.string()),
})
export type DeliveryOutcome = z.infer<typeof DeliveryOutcome>
