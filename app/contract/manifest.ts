// The manifest of a bounce: what was rendered, from which takes, with which settings,
// and the hash of every stem. With the takes it is enough to render the same bytes again.

import { z } from 'zod'
import { sentenceOf } from './chain-document.ts'
import { Id, IsoDate, SESSION_RATES_HZ, Sha256 } from './entities.ts'
import { Failure } from './failure.ts'
import { takesOfLayer } from './passages/layer-takes.ts'
import { RenderPlan } from './render-plan.ts'
import { SongSpan } from './sections/song-range.ts'
import { STEM_ENCODINGS } from './stem-encoding.ts'
import { listOf } from './text/bounded.ts'
import {
  MAX_FILE_NAME,
  MAX_GROUPS,
  MAX_LAYERS,
  MAX_NAME,
  MAX_PATH,
  MAX_PLANNED_TAKES,
  MAX_REMARK,
  MAX_REMARKS,
  MAX_SOUND_SECONDS,
} from './text/limits.ts'

/** The `format` of a manifest. */
export const MANIFEST_FORMAT = 'takeloft-bounce'
/** Version 2 added the originator reference of every stem, version 3 the span, version 4 the polarity of layers. */
export const MANIFEST_FORMAT_VERSION = 4

/** A stem of a bounce: its file, how it was made, and its levels. */
export const Stem = z.strictObject({
  /** For a layer, the group's name precedes its own. */
  name: z.string().max(2 * MAX_NAME + 1),
  kind: z.enum(['group', 'layer']),
  /** The group's or layer's id in the plan. */
  sourceId: Id,
  /** File name beside the manifest; letters of any script are allowed, since earlier versions wrote them. */
  file: z
    .string()
    .max(MAX_FILE_NAME)
    .regex(/^[\p{L}\p{N}][\p{L}\p{N}_-]*\.wav$/u, 'a stem is a file beside its manifest, with a plain name'),
  channels: z.int().min(1).max(2),
  encoding: z.enum(STEM_ENCODINGS),
  /** Seed of the dither; null if every sample was already a 24-bit word or the file is float. */
  ditherSeed: z.int().nonnegative().max(0xffff_ffff).nullable(),
  /** Identifies the file in its bext chunk (unique, as EBU R 99 asks); absent in manifests of version 1. */
  originatorReference: z.string().max(32).optional(),
  /**
   * How far the ceiling at the end of the chain was lowered below its setting, so that no inter-sample
   * peak exceeds the setting. The same for all stems that a chain renders together.
   */
  ceilingTrimDb: z.number().nonnegative().default(0),
  sha256: Sha256,
  integratedLufs: z.number().nullable(),
  loudnessRangeLu: z.number().nullable(),
  truePeakDbtp: z.number().nullable(),
  samplePeakDbfs: z.number().nullable(),
})
export type Stem = z.infer<typeof Stem>

/** Everything needed to render a bounce again and compare the result. */
export const Manifest = z.strictObject({
  format: z.literal(MANIFEST_FORMAT),
  version: z.int().min(1).max(MANIFEST_FORMAT_VERSION),
  program: z.strictObject({ name: z.literal('Takeloft'), version: z.string().max(MAX_NAME) }),
  artist: z.string().max(MAX_NAME),
  song: z.string().max(MAX_NAME),
  sessionDate: IsoDate,
  /** Position of the first sample of every stem in samples since midnight, as in their bext chunks. */
  timeReferenceSamples: z
    .int()
    .nonnegative()
    .max(MAX_SOUND_SECONDS * Math.max(...SESSION_RATES_HZ)),
  plan: RenderPlan,
  /** The part of the song that the stems hold; null for the whole song, as before version 3. */
  span: SongSpan.nullable().default(null),
  /** Where each take's file was, relative to the manifest where that is possible. */
  takes: listOf(
    z.strictObject({ sha256: Sha256, name: z.string().max(MAX_PATH), path: z.string().max(MAX_PATH) }),
    MAX_PLANNED_TAKES,
    1,
  ),
  /** Which saved chain version each part of the plan came from. */
  chains: listOf(
    z.strictObject({
      groupId: Id.nullable(),
      chainVersionId: Id,
      name: z.string().max(MAX_NAME),
      number: z.int().positive(),
      sha256: Sha256,
    }),
    MAX_GROUPS,
  ),
  stems: listOf(Stem, MAX_GROUPS + MAX_LAYERS, 1),
  remarks: listOf(z.string().max(MAX_REMARK), MAX_REMARKS),
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
  const wrong = manifest.success ? contradictionIn(manifest.data) : sentenceOf(manifest.error)
  if (!manifest.success || wrong !== null) {
    throw new Failure('invalid-input', `${where} cannot be used as a manifest: ${wrong}.`, { where })
  }
  return manifest.data
}

/** The first contradiction between parts of a manifest, as part of a sentence; null if they agree. */
function contradictionIn({ plan, span, takes, stems }: Manifest): string | null {
  if (
    span !== null &&
    (span.startFrame < plan.startFrame || span.startFrame + span.frames > plan.startFrame + plan.frames)
  )
    return 'its span reaches beyond its plan'
  const listed = new Set(takes.map((take) => take.sha256))
  const groups = new Set(plan.groups.map((group) => group.id))
  const layers = new Set(plan.layers.map((layer) => layer.id))
  if (groups.size < plan.groups.length) return 'two groups of its plan have the same id'
  if (layers.size < plan.layers.length) return 'two layers of its plan have the same id'
  const formats = new Map<string, string>()
  for (const layer of plan.layers) {
    const { name, groupId } = layer
    if (!groups.has(groupId)) return `the layer "${name}" is in a group that its plan does not have`
    for (const { take } of takesOfLayer(layer)) {
      if (!listed.has(take.sha256)) return `the layer "${name}" uses a take that is not among its takes`
      const { sha256, ...format } = take
      const described = JSON.stringify(format)
      if ((formats.get(sha256) ?? described) !== described)
        return `the take of the layer "${name}" is said to have two formats`
      formats.set(sha256, described)
    }
  }
  const groupsWithLayers = new Set(plan.layers.map((layer) => layer.groupId))
  const files = new Set<string>()
  for (const { file, kind, sourceId } of stems) {
    if (!(kind === 'group' ? groupsWithLayers : layers).has(sourceId))
      return `the stem ${file} is of a ${kind} that its plan does not have`
    if (files.has(file.toLowerCase())) return `two stems are called ${file}`
    files.add(file.toLowerCase())
  }
  return null
}
