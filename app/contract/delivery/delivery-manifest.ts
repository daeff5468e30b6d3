// The manifest of a delivery: what was rendered, from which takes, with which settings, and the hash of every file.
// With the takes it is enough to render the same bytes again.

import { z } from 'zod'
import { sentenceOf } from '../chain-document.ts'
import { Id, Sha256 } from '../entities.ts'
import { Failure } from '../failure.ts'
import { Manifest } from '../manifest.ts'
import { takeHashesOf } from '../passages/layer-takes.ts'
import { MAX_SECTIONS } from '../sections/section.ts'
import { SongSpan } from '../sections/song-range.ts'
import { listOf } from '../text/bounded.ts'
import { MAX_GROUPS, MAX_LAYERS, MAX_NAME } from '../text/limits.ts'
import { DeliveryMarker } from './delivery-record.ts'
import { DeliveryEncoding, DeliveryRate } from './delivery-request.ts'

/** The `format` of a delivery's manifest. */
export const DELIVERY_FORMAT = 'takeloft-delivery'
/** Version 2 added the polarity of layers. */
export const DELIVERY_FORMAT_VERSION = 2

/** The longest path inside a delivery, in characters. */
const MAX_DELIVERY_PATH = 180

/** Relative to the manifest, with `/`. Names that any disk accepts, and no way out of the folder. */
const InnerPath = z
  .string()
  .max(MAX_DELIVERY_PATH)
  .regex(
    /^(?:[A-Za-z0-9][\w-]*\/)*[A-Za-z0-9][\w-]*\.[a-z0-9]{1,5}$/,
    'a file of a delivery is below its manifest, with a plain name',
  )

const Listed = { path: InnerPath, bytes: z.int().nonnegative(), sha256: Sha256 }
const Level = z.number().nullable()

/** A file that is rendered from the plan. */
export const RenderedFile = z.strictObject({
  ...Listed,
  /** `aligned`: a layer's take, unprocessed. */
  kind: z.enum(['group', 'layer', 'aligned', 'reference']),
  name: z.string().max(2 * MAX_NAME + 1),
  /** The group's or layer's id in the plan; null for the reference. */
  sourceId: Id.nullable(),
  channels: z.int().min(1).max(2),
  frames: z.int().nonnegative(),
  encoding: DeliveryEncoding,
  /** Seed of the dither; null if every sample already was such a word, or the file is float. */
  ditherSeed: z.int().nonnegative().max(0xffff_ffff).nullable(),
  originatorReference: z.string().regex(/^[0-9a-f]{32}$/),
  integratedLufs: Level,
  loudnessRangeLu: Level,
  truePeakDbtp: Level,
  samplePeakDbfs: Level,
})
export type RenderedFile = z.infer<typeof RenderedFile>

/** A take, byte for byte. */
const RawFile = z.strictObject({ ...Listed, kind: z.literal('raw'), name: z.string().max(MAX_NAME) })
/** Markers, edit list, recall sheet, README. */
const DocumentFile = z.strictObject({ ...Listed, kind: z.literal('document') })

const DeliveredFile = z.discriminatedUnion('kind', [RenderedFile, RawFile, DocumentFile])
export type DeliveredFile = z.infer<typeof DeliveredFile>

const { program, artist, song, sessionDate, timeReferenceSamples, plan, takes, chains, remarks } =
  Manifest.shape

/** Everything needed to render a delivery again and compare the result. */
export const DeliveryManifest = z.strictObject({
  format: z.literal(DELIVERY_FORMAT),
  version: z.int().min(1).max(DELIVERY_FORMAT_VERSION),
  /** Which delivery of the session it is. */
  number: z.int().positive(),
  ...{ program, artist, song, sessionDate, timeReferenceSamples, plan, takes, chains, remarks },
  template: z.string().max(MAX_NAME),
  /** Of the rendered files, and what `timeReferenceSamples` counts in. */
  sampleRateHz: DeliveryRate,
  encoding: DeliveryEncoding,
  /** What of the song the rendered files hold: session frames, at the rate of the plan. */
  span: SongSpan,
  markers: listOf(DeliveryMarker, MAX_SECTIONS),
  /** How far the ceiling at the end of each unit's chain was lowered, in the order of the units of the plan. */
  ceilingTrimsDb: listOf(z.number().nonnegative(), MAX_GROUPS),
  files: listOf(DeliveredFile, MAX_GROUPS + 3 * MAX_LAYERS + 20, 1),
})
export type DeliveryManifest = z.infer<typeof DeliveryManifest>

/** Whether a parsed JSON value says that it is the manifest of a delivery. */
export const isDeliveryManifest = (value: unknown): boolean =>
  z.object({ format: z.literal(DELIVERY_FORMAT) }).safeParse(value).success

/**
 * A parsed JSON value as the manifest of a delivery.
 * @throws Failure `newer-version` or `invalid-input`
 */
export function parseDeliveryManifest(value: unknown, where: string): DeliveryManifest {
  const head = z.object({ version: z.int().min(1) }).safeParse(value)
  if (head.success && head.data.version > DELIVERY_FORMAT_VERSION) {
    throw new Failure(
      'newer-version',
      `${where} has delivery version ${head.data.version}, and this Takeloft knows up to ${DELIVERY_FORMAT_VERSION}; update Takeloft to verify it.`,
      { where, version: head.data.version },
    )
  }
  const manifest = DeliveryManifest.safeParse(value)
  const wrong = manifest.success ? contradictionIn(manifest.data) : sentenceOf(manifest.error)
  if (!manifest.success || wrong !== null) {
    throw new Failure('invalid-input', `${where} cannot be used as the manifest of a delivery: ${wrong}.`, {
      where,
    })
  }
  return manifest.data
}

/** The first contradiction between parts of a manifest, as part of a sentence; null if they agree. */
function contradictionIn({
  plan: { groups, layers },
  takes: listed,
  files,
}: DeliveryManifest): string | null {
  const hashes = new Set(listed.map(({ sha256 }) => sha256))
  const groupIds = new Set(groups.map(({ id }) => id))
  const layerIds = new Set(layers.map(({ id }) => id))
  for (const layer of layers) {
    const { name, groupId } = layer
    if (!groupIds.has(groupId)) return `the layer "${name}" is in a group that its plan does not have`
    if ([...takeHashesOf([layer])].some((sha256) => !hashes.has(sha256)))
      return `the layer "${name}" uses a take that is not among its takes`
  }
  const paths = new Set<string>()
  for (const file of files) {
    if (paths.has(file.path.toLowerCase())) return `two files are called ${file.path}`
    paths.add(file.path.toLowerCase())
    if (file.kind === 'raw' || file.kind === 'document' || file.kind === 'reference') continue
    const ids = file.kind === 'group' ? groupIds : layerIds
    if (file.sourceId === null || !ids.has(file.sourceId))
      return `${file.path} is of a group or layer that its plan does not have`
  }
  return null
}
