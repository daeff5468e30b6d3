// The entities of the catalogue as the rest of the program sees them.

import { z } from 'zod'
import { ChainStages } from './chain-document.ts'
import { CurvePoints } from './curve.ts'
import { DeliveryChange } from './delivery/delivery-change.ts'
import { HistoryConflict } from './exchange/conflict.ts'
import { Section } from './sections/section.ts'
import { TakeFacts } from './take-facts.ts'
import { listOf, Name, nameable } from './text/bounded.ts'
import {
  MAX_COPIES,
  MAX_MIC_DISTANCE_M,
  MAX_NOTE,
  MAX_OFFSET_FRAMES,
  MAX_PATH,
  MAX_SERIAL,
  MAX_TEMPO_CHANGES,
} from './text/limits.ts'

/** The key of a row in the catalogue. */
export const Id = z.int().positive()
/** SHA-256 as 64 lowercase hexadecimal digits. */
export const Sha256 = z.string().regex(/^[0-9a-f]{64}$/, 'a SHA-256 is 64 hexadecimal digits')
/** As stored: absolute, or relative to the catalogue's folder. */
const StoredPath = nameable(z.string().min(1).max(MAX_PATH))
const Note = z.string().max(MAX_NOTE)
/** yyyy-mm-dd */
export const IsoDate = z.iso.date()

/** Sample rates that a session may have. */
export const SESSION_RATES_HZ = [44_100, 48_000, 88_200, 96_000] as const
const SessionRate = z.union(SESSION_RATES_HZ.map((rate) => z.literal(rate)))
/** Attenuation of a centred mono layer on each side. */
export const PanLaw = z.enum(['minus-3-db', 'minus-4.5-db', 'minus-6-db'])
export type PanLaw = z.infer<typeof PanLaw>
/** Role of a layer in the stack. */
export const Role = z.enum(['lead', 'double', 'ad-lib', 'harmony'])
export type Role = z.infer<typeof Role>
/** 'own': each group has a chain that reacts to that group. 'shared': one chain reacts to the whole stack. */
export const ChainSharing = z.enum(['own', 'shared'])
export type ChainSharing = z.infer<typeof ChainSharing>

/** An artist as entered. */
export const ArtistFields = z.object({ name: Name, note: Note })
/** An artist in the catalogue. */
export const Artist = ArtistFields.extend({ id: Id })
export type Artist = z.infer<typeof Artist>

/** A voice as entered; an artist has one or more. */
export const VoiceFields = z.object({ artistId: Id, name: Name, note: Note })
/** A voice in the catalogue. */
export const Voice = VoiceFields.extend({ id: Id })
export type Voice = z.infer<typeof Voice>

/** Polar patterns, as data sheets name them. */
export const PolarPattern = z.enum([
  'omni',
  'cardioid',
  'wide cardioid',
  'supercardioid',
  'hypercardioid',
  'figure-8',
  'unknown',
])
export type PolarPattern = z.infer<typeof PolarPattern>
/** A mic as entered. */
export const MicFields = z.object({
  name: Name,
  serial: nameable(z.string().max(MAX_SERIAL)),
  pattern: PolarPattern,
  note: Note,
})
/** A mic in the catalogue. */
export const Mic = MicFields.extend({ id: Id })
export type Mic = z.infer<typeof Mic>

/** A calibration point of a traced picture: a pixel position and the axis value there. */
export const TraceMark = z.object({
  x: z.number().min(0).max(100_000),
  y: z.number().min(0).max(100_000),
  value: z.number(),
})
export type TraceMark = z.infer<typeof TraceMark>
/** The picture that a curve was traced from; stored next to the catalogue, named after its hash. */
export const CurvePicture = z.object({
  sha256: Sha256,
  fileName: nameable(z.string().min(1).max(300)),
  /** Two marks in Hz, and two in dB. */
  frequencyMarks: z.tuple([TraceMark, TraceMark]),
  levelMarks: z.tuple([TraceMark, TraceMark]),
})
export type CurvePicture = z.infer<typeof CurvePicture>

/** Where a curve comes from. */
export const CurveSource = z.enum(['data sheet', 'measurement', 'traced picture', 'own', 'invented'])
/** A curve as entered: dB over Hz with its origin; the distance in metres. */
export const CurveFields = z.object({
  /** null: a target curve that belongs to no mic. */
  micId: Id.nullable(),
  name: Name,
  source: CurveSource,
  /** The pattern that was set for this curve; a mic may have several. */
  pattern: PolarPattern,
  /** Distance of the sound source in metres; null if unknown. */
  distanceM: z.number().positive().max(MAX_MIC_DISTANCE_M).nullable(),
  note: Note,
  points: CurvePoints,
  picture: CurvePicture.nullable(),
})
/** A curve in the catalogue. */
export const CurveRecord = CurveFields.extend({ id: Id })
export type CurveRecord = z.infer<typeof CurveRecord>

/** A song as entered. */
export const SongFields = z.object({ artistId: Id, title: Name })
/** A song in the catalogue. */
export const Song = SongFields.extend({ id: Id })
export type Song = z.infer<typeof Song>

/** The note value that bars are counted in: 4 for quarter notes, 8 for eighths. */
export const BEAT_UNITS = [2, 4, 8, 16] as const
const BeatUnit = z.union(BEAT_UNITS.map((unit) => z.literal(unit)))
export type BeatUnit = z.infer<typeof BeatUnit>
/** Quarter notes per minute, whatever the beat unit, as in Standard MIDI Files. */
const TempoBpm = z.number().min(20).max(400)
/** How many beat units a bar has. */
const BeatsPerBar = z.int().min(1).max(16)
/** Another tempo or metre from the start of a bar on; bar 1 has that of the session. */
export const TempoChange = z.object({
  bar: z.int().min(2).max(100_000),
  tempoBpm: TempoBpm,
  beatsPerBar: BeatsPerBar,
  beatUnit: BeatUnit,
})
export type TempoChange = z.infer<typeof TempoChange>
/** Each bar once, in order. */
const TempoChanges = listOf(TempoChange, MAX_TEMPO_CHANGES).refine(
  (list) => list.every(({ bar }, i) => i === 0 || bar > list[i - 1]!.bar),
  'tempo changes have to be in the order of their bars, each bar once',
)

/** A session as entered. */
export const SessionFields = z.object({
  songId: Id,
  date: IsoDate,
  sampleRateHz: SessionRate,
  tempoBpm: TempoBpm.nullable(),
  beatsPerBar: BeatsPerBar,
  beatUnit: BeatUnit,
  /** Without effect while the session has no tempo. */
  tempoChanges: TempoChanges,
  notes: Note,
  panLaw: PanLaw,
  /** Time of day of session time zero, in seconds since midnight; by convention one hour. */
  startOfDayS: z.int().min(0).max(86_399),
  chainSharing: ChainSharing,
  /** The chain of every group while `chainSharing` is 'shared'. */
  sharedChainVersionId: Id.nullable(),
})
/** A session in the catalogue, with the names of its song and artist. */
export const Session = SessionFields.extend({
  id: Id,
  artistId: Id,
  artistName: z.string(),
  songTitle: z.string(),
})
export type Session = z.infer<typeof Session>
/** A session in a list, with what tells sessions of one song and day apart. */
export const ListedSession = Session.extend({
  createdAt: z.iso.datetime(),
  /** How many takes are in it. */
  takes: z.int().nonnegative(),
})
export type ListedSession = z.infer<typeof ListedSession>

/** A take: its file, its format and the facts that were measured at import. */
export const Take = z.object({
  id: Id,
  sha256: Sha256,
  name: Name,
  /** Where its file is, or was when it was last seen. */
  path: z.string(),
  /** Paths of other files with the same bytes. */
  copies: z.array(z.string()),
  container: z.string(),
  encoding: z.string(),
  sampleRateHz: z.int().positive(),
  channels: z.int().positive(),
  frames: z.int().nonnegative(),
  /** Time stamp of its first sample, in samples since midnight; null without one, or imported before it was read. */
  timeReferenceSamples: z.int().nonnegative().nullable(),
  /** Size of its file; null if it was imported before that was noted. */
  sizeBytes: z.int().positive().nullable(),
  importedAt: z.iso.datetime(),
  voiceId: Id.nullable(),
  micId: Id.nullable(),
  /** The curve of that mic which the correction uses. */
  curveId: Id.nullable(),
  facts: TakeFacts,
})
export type Take = z.infer<typeof Take>

/** Where files of a take are or were. */
export const TakePlaces = z.object({
  id: Id,
  path: StoredPath,
  copies: listOf(StoredPath, MAX_COPIES),
})
export type TakePlaces = z.infer<typeof TakePlaces>

/**
 * Why a take cannot be used: its file is nowhere it was seen, or what is there is not the take (other bytes, a
 * folder).
 */
export const TakeAbsence = z.enum(['missing', 'changed'])
export type TakeAbsence = z.infer<typeof TakeAbsence>

/** Gain of a group in dB. */
export const GroupGainDb = z.number().min(-60).max(12)
/** Gain of a layer in dB. */
export const LayerGainDb = z.number().min(-60).max(24)
/** Session time of a take's first sample, in samples at the session's rate; may be before zero. */
export const OffsetSamples = z.int().min(-MAX_OFFSET_FRAMES).max(MAX_OFFSET_FRAMES)

/** A group as entered. */
export const GroupFields = z.object({
  name: Name,
  chainVersionId: Id.nullable(),
  gainDb: GroupGainDb,
})
/** A group in the catalogue; `position` counts from 0 within its session. */
export const Group = GroupFields.extend({ id: Id, sessionId: Id, position: z.int().nonnegative() })
export type Group = z.infer<typeof Group>

/** A layer as entered: offset in samples of the session, gain in dB. */
export const LayerFields = z.object({
  groupId: Id,
  takeId: Id,
  name: Name,
  role: Role,
  offsetSamples: OffsetSamples,
  gainDb: LayerGainDb,
  /** -1 left, 0 centre, +1 right. */
  pan: z.number().min(-1).max(1),
  muted: z.boolean(),
  /** Whether every sample is multiplied by -1 where the gain acts, before the group's chain. */
  polarityInverted: z.boolean(),
})
/** A layer in the catalogue; `position` counts from 0 within its session. */
export const Layer = LayerFields.extend({ id: Id, sessionId: Id, position: z.int().nonnegative() })
export type Layer = z.infer<typeof Layer>

/** A chain in the catalogue; its stages are in its versions. */
export const Chain = z.object({ id: Id, voiceId: Id, name: Name })
export type Chain = z.infer<typeof Chain>

/** An immutable saved version of a chain; `number` counts from 1 within the chain, on each computer for itself. */
export const ChainVersion = z.object({
  id: Id,
  chainId: Id,
  voiceId: Id,
  chainName: z.string(),
  number: z.int().positive(),
  stages: ChainStages,
  /** Hash of the canonical JSON of the stages. */
  sha256: Sha256,
  note: Note,
  createdAt: z.iso.datetime(),
  /** Hash of the whole version, by which it is known on every computer. */
  node: Sha256,
  /** Nodes that it was made from: first the one that was edited, then one that was merged into it. */
  parents: z.array(Sha256),
  /** Name of the computer that it was saved on. */
  machineName: z.string(),
  /** Whether another version of the chain has its number, as one of another computer may. */
  sharesNumber: z.boolean(),
})
export type ChainVersion = z.infer<typeof ChainVersion>

/** A chain version that a session is set to. */
export const SessionChain = z.object({
  sessionId: Id,
  chainVersionId: Id,
  chainName: z.string(),
  number: z.int().positive(),
})
export type SessionChain = z.infer<typeof SessionChain>

/** Unsaved stages of an owner's chain: of a group, or of the session if its groups share one chain. */
export const ChainDraftRecord = z.object({
  sessionId: Id,
  /** null for the chain that all groups share. */
  groupId: Id.nullable(),
  /** The version that the edits started from; null for a chain that has never been saved. */
  base: ChainVersion.nullable(),
  stages: ChainStages,
  /** The window that wrote it last. */
  writer: z.uuid(),
  /** Different after every write. */
  revision: z.uuid(),
  changedAt: z.iso.datetime(),
})
export type ChainDraftRecord = z.infer<typeof ChainDraftRecord>

/** A completed bounce, with the path and hash of its manifest. */
export const BounceRecord = z.object({
  id: Id,
  sessionId: Id,
  songTitle: z.string(),
  artistName: z.string(),
  manifestPath: z.string(),
  manifestSha256: Sha256,
  stems: z.int().nonnegative(),
  /** The section or the times of the song that it has; empty for the whole song. */
  part: z.string(),
  createdAt: z.iso.datetime(),
})
export type BounceRecord = z.infer<typeof BounceRecord>

/** A session with everything that the Stack place needs. */
export const SessionContents = z.object({
  session: Session,
  takes: z.array(Take),
  groups: z.array(Group),
  layers: z.array(Layer),
  /** In the order of their starts. */
  sections: z.array(Section),
  chainVersions: z.array(ChainVersion),
})
export type SessionContents = z.infer<typeof SessionContents>

/** One result of a search through all takes of the catalogue. */
export const FoundTake = z.object({
  id: Id,
  name: z.string(),
  /** Empty if neither the voice nor the session is known. */
  artistName: z.string(),
  voiceName: z.string().nullable(),
  micName: z.string().nullable(),
  /** Song of the first session that it was in. */
  songTitle: z.string().nullable(),
  sessionDate: z.string().nullable(),
  sampleRateHz: z.int().positive(),
  channels: z.int().positive(),
  frames: z.int().nonnegative(),
  integratedLufs: z.number().nullable(),
  importedAt: z.iso.datetime(),
  /** Where else the searched words were found, with a short excerpt; for a finding its kind. */
  matched: z.array(z.object({ field: z.enum(['song', 'note', 'finding', 'folder']), text: z.string() })),
})
export type FoundTake = z.infer<typeof FoundTake>

/**
 * What reading a take's file again showed. `rot`: other bytes although nothing has written to it by its time stamp.
 * `edited`: other bytes, written since.
 */
export const TakeCheckResult = z.enum(['sound', 'rot', 'edited', 'missing', 'unreadable'])
export type TakeCheckResult = z.infer<typeof TakeCheckResult>

const entry = <const K extends string>(kind: K) =>
  z.object({
    kind: z.literal(kind),
    at: z.iso.datetime(),
    /** Empty if neither the voice nor the session is known. */
    artistName: z.string(),
    /** The session it belongs to, for a take the first one it was in; null if there is none. */
    sessionId: Id.nullable(),
  })

/** One line of the history, as data; app/words turns it into text. */
export const LedgerEntry = z.discriminatedUnion('kind', [
  entry('take-imported').extend({
    takeId: Id,
    takeName: z.string(),
    sampleRateHz: z.int().positive(),
    channels: z.int().positive(),
    frames: z.int().nonnegative(),
    micName: z.string().nullable(),
  }),
  entry('session-created').extend({
    songTitle: z.string(),
    /** yyyy-mm-dd */
    date: z.string(),
    sampleRateHz: z.int().positive(),
  }),
  entry('chain-version-saved').extend({
    chainName: z.string(),
    version: z.int().positive(),
    /** First digits of its hash, where another version of the chain has the number. */
    toldApartBy: z.string().nullish(),
    note: z.string(),
    chainId: Id,
    chainVersionId: Id,
  }),
  /** `voiceId`: the first voice of the artist, whose book is the way to the rest; null if there is none. */
  entry('artist-created').extend({ voiceId: Id.nullable() }),
  entry('voice-created').extend({ voiceId: Id, voiceName: z.string() }),
  entry('song-created').extend({
    songTitle: z.string(),
    /** The newest session of the song; null if there is none. */
    newestSessionId: Id.nullable(),
  }),
  entry('entity-changed').extend({
    /** The first voice of its artist; null if there is none any more. */
    voiceId: Id.nullable(),
    change: z.enum(['renamed', 'merged', 'removed']),
    entity: z.enum(['artist', 'voice', 'song', 'session']),
    /** The former name, or the name of what was merged or removed. */
    name: z.string(),
    /** The new name, or what it was merged into; empty after a removal. */
    otherName: z.string(),
  }),
  /** A history of another computer that was merged into this catalogue. */
  entry('history-merged').extend({
    /** The first voice of that name; null if there is none any more. */
    voiceId: Id.nullable(),
    /** Its voices. */
    name: z.string(),
    added: z.int().nonnegative(),
    /** What differed, with both sides; both are kept. */
    conflicts: z.array(HistoryConflict),
  }),
  entry('take-checked').extend({
    takeId: Id,
    takeName: z.string(),
    result: TakeCheckResult,
    path: z.string(),
  }),
  entry('archived').extend({ songTitle: z.string(), takes: z.int().nonnegative(), path: z.string() }),
  entry('restored').extend({ songTitle: z.string(), takes: z.int().nonnegative(), path: z.string() }),
  entry('bounced').extend({
    bounceId: Id,
    songTitle: z.string(),
    /** As in BounceRecord. */
    part: z.string(),
    stems: z.int().nonnegative(),
    manifestPath: z.string(),
  }),
  entry('delivered').extend({
    songTitle: z.string(),
    /** Counts from 1 within the session. */
    number: z.int().positive(),
    files: z.int().nonnegative(),
    folder: z.string(),
    /** Since the delivery before; empty for the first. */
    changes: z.array(DeliveryChange),
  }),
])
export type LedgerEntry = z.infer<typeof LedgerEntry>
