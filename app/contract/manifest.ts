// The manifest of a bounce: what was rendered, from which takes, with which settings,
// and the hash of every stem. It is enough to render the same bytes again.

import { z } from 'zod'
import { sentenceOf } from './chain-document.ts'
import { Id, IsoDate, Sha256 } from './entities.ts'
import { Failure } from './failure.ts'
import { RenderPlan } from './render-plan.ts'

export const MANIFEST_FORMAT = 'takeloft-bounce'
/** 2: every stem names its originator reference. */
export const MANIFEST_FORMAT_VERSION = 2

export const Stem = z.strictObject({
  name: z.string(),
  kind: z.enum(['group', 'layer']),
  /** The group's or layer's id in the plan. */
  sourceId: Id,
  /** File name beside the manifest. */
  file: z.string().regex(/^[^/\\]+$/, 'a stem lies beside its manifest'),
  channels: z.int().min(1).max(2),
  encoding: z.enum(['pcm-24', 'float-32']),
  /** Seed of the dither; null where every sample was already a 24-bit word, or the file is float. */
  ditherSeed: z.int().nullable(),
  /** Names the file in its bext chunk (EBU R 99 wants it unique); absent in manifests of version 1. */
  originatorReference: z.string().max(32).optional(),
  /**
   * How far under its setting the ceiling at the end of the chain was set, so that no peak
   * between samples passes the setting. One number for all stems that a chain makes together.
   */
  ceilingTrimDb: z.number().nonnegative().default(0),
  sha256: Sha256,
  integratedLufs: z.number().nullable(),
  loudnessRangeLu: z.number().nullable(),
  truePeakDbtp: z.number().nullable(),
  samplePeakDbfs: z.number().nullable(),
})
export type Stem = z.infer<typeof Stem>

export const Manifest = z.strictObject({
  format: z.literal(MANIFEST_FORMAT),
  version: z.int().min(1).max(MANIFEST_FORMAT_VERSION),
  program: z.strictObject({ name: z.literal('Takeloft'), version: z.string() }),
  artist: z.string(),
  song: z.string(),
  sessionDate: IsoDate,
  /** Samples since midnight of the first sample of every stem, as in their bext chunks. */
  timeReferenceSamples: z.int().nonnegative(),
  plan: RenderPlan,
  /** Where each take's file was, relative to the manifest where that is possible. */
  takes: z.array(z.strictObject({ sha256: Sha256, name: z.string(), path: z.string() })),
  /** Which saved chain version each part of the plan came from. */
  chains: z.array(
    z.strictObject({
      groupId: Id.nullable(),
      chainVersionId: Id,
      name: z.string(),
      number: z.int().positive(),
      sha256: Sha256,
    }),
  ),
  stems: z.array(Stem),
  remarks: z.array(z.string()),
})
export type Manifest = z.infer<typeof Manifest>

/**
 * A parsed JSON value as a manifest.
 * @throws Failure `newer-version` or `invalid-input`
 */
export function parseManifest(value: unknown, where: string): Manifest {
  const head = z.object({ format: z.literal(MANIFEST_FORMAT), version: z.int().min(1) }).safeParse(value)
  if (!head.success) {
    throw new Failure(
      'invalid-input',
      `${where} is not the manifest of a Takeloft bounce: ${sentenceOf(head.error)}.`,
      {
        where,
      },
    )
  }
  if (head.data.version > MANIFEST_FORMAT_VERSION) {
    throw new Failure(
      'newer-version',
      `${where} has manifest version ${head.data.version}, and this Takeloft knows up to ${MANIFEST_FORMAT_VERSION}; update Takeloft to verify it.`,
      { where, version: head.data.version },
    )
  }
  const manifest = Manifest.safeParse(value)
  if (!manifest.success) {
    throw new Failure(
      'invalid-input',
      `${where} cannot be used as a manifest: ${sentenceOf(manifest.error)}.`,
      { where },
    )
  }
  return manifest.data
}
