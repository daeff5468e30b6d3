// A history as two computers exchange it: who, which voices, mics and songs, every chain version, and what was
// measured on the takes, without sound. Everything is named by what is equal on both computers: UUIDs, and SHA-256
// of content.

import { z } from 'zod'
import { ChainStages } from '../chain-document.ts'
import { CurvePoints } from '../curve.ts'
import { DeliveryChange } from '../delivery/delivery-change.ts'
import { DeliverySource } from '../delivery/delivery-record.ts'
import {
  CurvePicture,
  CurveSource,
  GroupGainDb,
  LayerGainDb,
  MicFields,
  OffsetSamples,
  PolarPattern,
  Role,
  SessionFields,
  Sha256,
  Take,
} from '../entities.ts'
import { MAX_SECTIONS, SectionFields } from '../sections/section.ts'
import { TakeFacts } from '../take-facts.ts'
import { listOf, Name, nameable, wellFormed } from '../text/bounded.ts'
import { MAX_GROUPS, MAX_LAYERS, MAX_MIC_DISTANCE_M, MAX_NAME, MAX_NOTE, MAX_PATH } from '../text/limits.ts'
import { MAX_HISTORY_FILES, MAX_PARENTS, MAX_RECORDS, MAX_STATES } from './limits.ts'

/** The `format` and newest `v` of a history. */
export const HISTORY_FORMAT = 'takeloft-history'
export const HISTORY_FORMAT_V = 4

/** UUID of any version in lower case; the program makes those of version 7 (RFC 9562). */
export const Uuid = z
  .string()
  .regex(/^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$/, 'a UUID has 32 digits in five parts')
export type Uuid = z.infer<typeof Uuid>

const Moment = z.iso.datetime()
const Note = wellFormed(MAX_NOTE)

const Stamp = z.strictObject({
  at: Moment,
  /** Empty for the values that the entity was made with. */
  machine: Uuid.or(z.literal('')),
})

/**
 * Values of an entity that can be changed, with when and on which computer that was; all that are known. The
 * newest is valid, by time, then by machine.
 */
const states = <S extends z.ZodType>(values: S, least = 1) =>
  listOf(
    z.strictObject({
      ...Stamp.shape,
      /** What the values were made from. Since v 2; empty where it is not known. */
      parents: listOf(Stamp, MAX_PARENTS).default([]),
      values,
    }),
    MAX_STATES,
    least,
  )

/** What every entity with a UUID has. `also` are UUIDs of entities that are known to be the same. */
const entity = { id: Uuid, also: listOf(Uuid, MAX_STATES), createdAt: Moment }

const Machine = z.strictObject({ id: Uuid, name: wellFormed(MAX_NAME) })

const ArtistRecord = z.strictObject({
  ...entity,
  states: states(z.strictObject({ name: Name, note: Note })),
})
const VoiceRecord = z.strictObject({
  ...entity,
  artist: Uuid,
  states: states(z.strictObject({ name: Name, note: Note })),
})
const MicRecord = z.strictObject({
  ...entity,
  states: states(z.strictObject({ ...MicFields.shape, note: Note })),
})
const SongRecord = z.strictObject({
  ...entity,
  artist: Uuid,
  states: states(z.strictObject({ title: Name })),
})
const ChainRecord = z.strictObject({
  ...entity,
  voice: Uuid,
  states: states(z.strictObject({ name: Name })),
})

/** The content of a curve, whose hash names it: the canonical JSON of this is `curves/<sha256>.json`. */
export const CurveContent = z.strictObject({
  source: CurveSource,
  pattern: PolarPattern,
  distanceM: z.number().positive().max(MAX_MIC_DISTANCE_M).nullable(),
  points: CurvePoints,
  picture: CurvePicture.nullable(),
})
export type CurveContent = z.infer<typeof CurveContent>
const CurveRecordInHistory = z.strictObject({
  /** null for a target curve that belongs to no mic. */
  mic: Uuid.nullable(),
  sha256: Sha256,
  createdAt: Moment,
  states: states(z.strictObject({ name: Name, note: Note })),
})

/** A chain version as it is hashed: SHA-256 of its canonical JSON. */
export const VersionNode = z.strictObject({
  format: z.literal('takeloft-chain-version'),
  v: z.literal(1),
  chain: Uuid,
  /** First the version that it was edited from; two for a version that joins two. */
  parents: listOf(Sha256, MAX_PARENTS),
  stages: ChainStages,
  note: Note,
  machine: Uuid,
  createdAt: Moment,
})
export type VersionNode = z.infer<typeof VersionNode>

/** A version with its hash, and the number under which it is shown. */
const VersionRecord = z.strictObject({
  sha256: Sha256,
  number: z.int().positive().max(1_000_000),
  /** Read as it is hashed; VersionNode is applied once the hash is known to be right. */
  node: z.record(z.string(), z.unknown()),
})
export type VersionRecord = z.infer<typeof VersionRecord>

/** Whether a version is pinned; only of those that ever were. */
const PinInHistory = z.strictObject({
  /** Of the version. */
  sha256: Sha256,
  states: states(z.strictObject({ isPinned: z.boolean() })),
})

const TakeRecord = z.strictObject({
  ...Take.pick({
    sha256: true,
    container: true,
    encoding: true,
    sampleRateHz: true,
    channels: true,
    timeReferenceSamples: true,
    sizeBytes: true,
  }).shape,
  // An import refuses files without sound.
  frames: z.int().positive('a take has at least one frame'),
  /** Name of its file, without folders. */
  fileName: nameable(z.string().min(1).max(MAX_PATH)).refine((name) => !/[/\\]/.test(name), {
    message: 'the name of a take’s file has no folders',
  }),
  importedAt: Moment,
  facts: TakeFacts,
  states: states(
    z.strictObject({ name: Name, voice: Uuid.nullable(), mic: Uuid.nullable(), curve: Sha256.nullable() }),
  ),
})

const LayerInHistory = z.strictObject({
  id: Uuid,
  take: Sha256,
  name: Name,
  role: Role,
  offsetSamples: OffsetSamples,
  gainDb: LayerGainDb,
  pan: z.number().min(-1).max(1),
  muted: z.boolean(),
  /** Since v 4. Absent if not, so that settings of before are the same text as now. */
  polarityInverted: z.literal(true).optional(),
})
const GroupInHistory = z.strictObject({
  id: Uuid,
  name: Name,
  /** The version of its own chain. */
  version: Sha256.nullable(),
  gainDb: GroupGainDb,
  /** In the order of the stack. */
  layers: listOf(LayerInHistory.extend({ position: z.int().nonnegative() }), MAX_LAYERS),
})
/** All of a session that is heard, with the groups and layers of its stack. */
export const SessionSettings = z.strictObject({
  ...SessionFields.omit({ songId: true, notes: true, sharedChainVersionId: true }).shape,
  sharedVersion: Sha256.nullable(),
  groups: listOf(GroupInHistory, MAX_GROUPS),
})
export type SessionSettings = z.infer<typeof SessionSettings>
/** The sections of a session, by start, the longer of two first. */
export const SessionSections = z.strictObject({
  sections: listOf(z.strictObject(SectionFields.shape), MAX_SECTIONS),
})
export type SessionSections = z.infer<typeof SessionSections>
const SessionRecord = z.strictObject({
  ...entity,
  song: Uuid,
  /** SHA-256 of its takes. */
  takes: listOf(Sha256, MAX_RECORDS),
  /** Its notes. */
  states: states(z.strictObject({ notes: Note })),
  settings: states(SessionSettings),
  /** Since v 2; empty where they are not known. */
  sections: states(SessionSections, 0).default([]),
})

const BounceInHistory = z.strictObject({
  session: Uuid,
  manifestSha256: Sha256,
  stems: z.int().nonnegative(),
  createdAt: Moment,
  /** Name of the folder that was delivered. */
  folder: nameable(z.string().min(1).max(MAX_NAME)),
  /** The section or the times of the song; empty for all of it. Since v 3. */
  part: nameable(z.string().max(2 * MAX_NAME)).default(''),
})

const DeliveryInHistory = z.strictObject({
  session: Uuid,
  /** Deliveries of two computers may have the same. */
  number: z.int().positive().max(1_000_000),
  manifestSha256: Sha256,
  files: z.int().nonnegative(),
  bytes: z.int().nonnegative(),
  /** Since the one before on the computer that delivered. */
  changes: listOf(z.strictObject(DeliveryChange.shape), MAX_RECORDS),
  /** With the row numbers of the computer that delivered. */
  madeFrom: DeliverySource,
  createdAt: Moment,
  /** Name of the folder that was delivered. */
  folder: nameable(z.string().min(1).max(MAX_NAME)),
})

/** A line of the ledger about an artist, a voice, a song or a session itself. */
const ChangeInHistory = z.strictObject({
  artist: Uuid,
  kind: z.enum(['renamed', 'merged', 'removed']),
  entity: z.enum(['artist', 'voice', 'song', 'session']),
  name: wellFormed(2 * MAX_NAME + 20),
  otherName: wellFormed(2 * MAX_NAME + 20),
  at: Moment,
})

/** `history.json` of an exchanged file. Lists are in the order of their keys, so that one history has one text. */
export const History = z.strictObject({
  format: z.literal(HISTORY_FORMAT),
  /** 1: without sections, deliveries, pins and parents of values. */
  v: z.int().min(1).max(HISTORY_FORMAT_V),
  machines: listOf(Machine, MAX_RECORDS),
  artists: listOf(ArtistRecord, MAX_RECORDS),
  voices: listOf(VoiceRecord, MAX_RECORDS),
  mics: listOf(MicRecord, MAX_RECORDS),
  curves: listOf(CurveRecordInHistory, MAX_RECORDS),
  songs: listOf(SongRecord, MAX_RECORDS),
  chains: listOf(ChainRecord, MAX_RECORDS),
  versions: listOf(VersionRecord, MAX_RECORDS),
  /** Since v 2. */
  pins: listOf(PinInHistory, MAX_RECORDS).default([]),
  takes: listOf(TakeRecord, MAX_RECORDS),
  sessions: listOf(SessionRecord, MAX_RECORDS),
  bounces: listOf(BounceInHistory, MAX_RECORDS),
  /** Since v 2. */
  deliveries: listOf(DeliveryInHistory, MAX_RECORDS).default([]),
  changes: listOf(ChangeInHistory, MAX_RECORDS),
  /** Every other entry of the file, with its hash and size. */
  files: listOf(
    z.strictObject({ path: z.string().max(MAX_NAME), sha256: Sha256, sizeBytes: z.int().nonnegative() }),
    MAX_HISTORY_FILES,
  ),
})
export type History = z.infer<typeof History>
