// Every command of the program, with its input and output. The types at both ends of a port are inferred from
// here, and input is parsed once, in call-handler.ts.

import { z } from 'zod'
import { FoundThing } from '../book/found-thing.ts'
import { VoiceBook } from '../book/voice-book.ts'
import { ChainStages, MicCorrectionAims } from '../chain-document.ts'
import {
  CarryAim,
  CarryLimits,
  CarryPlan,
  CorrectionFit,
  MicCorrectionFit,
  ProximityProposal,
} from '../correction.ts'
import { CurvePoints } from '../curve.ts'
import { DeliveryOutcome, DeliveryPreview } from '../delivery/delivery-outcome.ts'
import { DeliveryRecord } from '../delivery/delivery-record.ts'
import { DeliveryRequest } from '../delivery/delivery-request.ts'
import {
  Artist,
  ArtistFields,
  BounceRecord,
  Chain,
  ChainDraftRecord,
  ChainVersion,
  CurveFields,
  CurveRecord,
  FoundTake,
  Group,
  GroupFields,
  Id,
  Layer,
  LayerFields,
  LedgerEntry,
  ListedSession,
  Mic,
  MicFields,
  PolarPattern,
  Session,
  SessionChain,
  SessionContents,
  SessionFields,
  Song,
  SongFields,
  Take,
  TakeAbsence,
  TakePlaces,
  Voice,
  VoiceFields,
} from '../entities.ts'
import { EntityKind, NamedEntityKind, PeopleAndSongs } from '../entity-changes.ts'
import { ArchiveOutcome, RestoreOutcome } from '../exchange/archive.ts'
import { HistoryAnswers, HistoryMerge } from '../exchange/merge.ts'
import { ChosenSettings, FormerSettings, OtherSettings } from '../exchange/other-settings.ts'
import { ChainMeasurement } from '../joints.ts'
import { Stem } from '../manifest.ts'
import { MatchGains, OpenedPlayback, PlaybackSource } from '../playback.ts'
import { Section, SectionFields } from '../sections/section.ts'
import { SongRange } from '../sections/song-range.ts'
import { SongOfChain, SongOfGroup } from '../song/joint-rows.ts'
import { StackCheck } from '../stack-check/stack-check.ts'
import { StackMeasurement } from '../stack-measurement.ts'
import { STEM_ENCODINGS } from '../stem-encoding.ts'
import { listOf, Name, nameable, SampleRate, wellFormed } from '../text/bounded.ts'
import {
  MAX_CURVE_CHARACTERS,
  MAX_FOUND_TAKES,
  MAX_LEDGER_ENTRIES,
  MAX_MIC_DISTANCE_M,
  MAX_PATH,
  MAX_RELOCATED,
  MAX_STAGES,
  MAX_TOGETHER,
} from '../text/limits.ts'
import { SoundcheckResult, StageProposal, UsualBalances, VoiceAnalysed } from '../voice-analysis.ts'
import { BackgroundTask } from './background-tasks.ts'
import { FailureData } from './failure-data.ts'

const Nothing = z.object({})
const EntityChange = z.object({ changeId: Id })
/** Entities that one act changes together. */
const Ids = listOf(Id, MAX_TOGETHER)
const Path = nameable(z.string().min(1).max(MAX_PATH))

/** A take with the absolute path of its file. */
const TakeFile = z.object({ id: Id, path: Path })

/** What was imported, and what was refused and why; a batch may be partly done. */
export const ImportOutcome = z.object({
  /** In the order of the files. */
  takes: z.array(Take),
  /** Those of them that the session did not have before. */
  addedIds: z.array(Id),
  refused: z.array(z.object({ path: z.string(), failure: FailureData })),
  /** Sentences to show: converted rates, a take that was imported before. */
  remarks: z.array(z.string()),
  /** Number of files that were not imported because the import was cancelled. */
  notReached: z.int().nonnegative(),
})
export type ImportOutcome = z.infer<typeof ImportOutcome>

/** Sample format of stems. */
export const StemEncoding = z.enum(STEM_ENCODINGS)
export type StemEncoding = z.infer<typeof StemEncoding>

/** Levels of one stem of a bounce; null for one that is silent. */
const StemLevels = Stem.pick({
  kind: true,
  name: true,
  file: true,
  integratedLufs: true,
  loudnessRangeLu: true,
  truePeakDbtp: true,
})

/** The files a bounce wrote, with remarks as sentences. */
export const BounceOutcome = z.object({
  manifest: z.string(),
  stems: z.array(
    Stem.pick({
      name: true,
      channels: true,
      encoding: true,
      integratedLufs: true,
      loudnessRangeLu: true,
      truePeakDbtp: true,
      samplePeakDbfs: true,
    }).extend({ path: z.string() }),
  ),
  remarks: z.array(z.string()),
})
export type BounceOutcome = z.infer<typeof BounceOutcome>

/** Which stems of a bounce were reproduced exactly, and which differ and why. */
export const Verification = z.object({
  same: z.array(z.string()),
  differing: z.array(z.object({ stem: z.string(), reason: z.string() })),
  /** Stems that could not be rendered again, because a take is missing. */
  unverified: z.array(z.object({ stem: z.string(), reason: z.string() })),
})
export type Verification = z.infer<typeof Verification>

/** Outcome of a background task. */
export const BackgroundTaskOutcome = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('bounce'), outcome: BounceOutcome }),
  z.object({ kind: z.literal('delivery'), outcome: DeliveryOutcome }),
  z.object({ kind: z.literal('import'), outcome: ImportOutcome }),
  z.object({ kind: z.literal('demo'), sessions: z.array(Id) }),
  z.object({ kind: z.literal('archive'), outcome: ArchiveOutcome }),
  z.object({ kind: z.literal('restore'), outcome: RestoreOutcome }),
])
export type BackgroundTaskOutcome = z.infer<typeof BackgroundTaskOutcome>

const command = <I extends z.ZodType, O extends z.ZodType>(input: I, output: O) => ({ input, output })

/** Every command with the schemas of its input and output. */
export const commands = {
  readWorkplace: command(
    Nothing,
    z.object({
      cataloguePath: z.string(),
      bounceFolder: z.string(),
      archiveFolder: z.string(),
      programVersion: z.string(),
      /** Whether deliveries get their recall sheet as PDF as well. */
      printsPdf: z.boolean(),
      /** Whether the catalogue is still empty; if so, the window offers the demo. */
      empty: z.boolean(),
      /** What went wrong before the window was connected. */
      warnings: z.array(z.string()),
    }),
  ),
  /** Archives a session as a bag in the folder; full paths. */
  archiveSession: command(z.object({ sessionId: Id, folder: Path }), ArchiveOutcome),
  /** Restores the session of a bag; the takes that are not there go to the folder. Full paths. */
  restoreArchive: command(z.object({ bag: Path, takesFolder: Path }), RestoreOutcome),
  buildDemo: command(Nothing, z.object({ sessions: z.array(Id) })),
  /** Bounces, imports and demo builds that are running or ended while no page was connected. */
  listBackgroundTasks: command(Nothing, z.array(BackgroundTask)),
  /** Reports the task's progress and resolves with its outcome; cancelling this call cancels the task. */
  followBackgroundTask: command(z.object({ id: Id }), BackgroundTaskOutcome),

  listArtists: command(Nothing, z.array(Artist)),
  createArtist: command(ArtistFields, Artist),
  listVoices: command(z.object({ artistId: Id.optional() }), z.array(Voice)),
  createVoice: command(VoiceFields, Voice),

  createSong: command(SongFields, Song),

  /** Everything that can be renamed, merged or removed, with what depends on it. */
  listPeopleAndSongs: command(Nothing, PeopleAndSongs),
  /** Returns the id of the change, for revertEntityChange; so do the two below. */
  renameEntity: command(
    z.object({
      kind: NamedEntityKind,
      id: Id,
      name: Name,
    }),
    EntityChange,
  ),
  /** Moves everything of one to the other and removes it: two spellings of one artist, for example. */
  mergeEntities: command(z.object({ kind: NamedEntityKind, id: Id, intoId: Id }), EntityChange),
  /** Only possible if nothing depends on it; empty groups of a session go with it. */
  removeEntity: command(z.object({ kind: EntityKind, id: Id }), EntityChange),
  /** Restores exactly the rows that were there before a change. */
  revertEntityChange: command(z.object({ changeId: Id }), Nothing),

  listMics: command(Nothing, z.array(Mic)),
  /** Passing the id of a removed mic restores it; the same for a curve. */
  createMic: command(MicFields.extend({ id: Id.optional() }), Mic),
  updateMic: command(z.object({ id: Id, changes: MicFields.partial() }), Mic),
  /** Only possible if the mic has no curves or takes. */
  removeMic: command(z.object({ id: Id }), Mic),
  listCurves: command(z.object({ micId: Id.optional() }), z.array(CurveRecord)),
  /** Imports a curve from text with columns separated by commas, semicolons, tabs or spaces. */
  importCurve: command(
    CurveFields.omit({ points: true, picture: true }).extend({
      text: z.string().min(1).max(MAX_CURVE_CHARACTERS),
    }),
    z.object({ curve: CurveRecord, remarks: z.array(z.string()) }),
  ),
  createCurve: command(CurveFields.extend({ id: Id.optional() }), CurveRecord),
  updateCurve: command(
    z.object({ id: Id, changes: CurveFields.omit({ micId: true }).partial() }),
    CurveRecord,
  ),
  removeCurve: command(z.object({ id: Id }), CurveRecord),
  exportCurve: command(z.object({ id: Id }), z.object({ fileName: z.string(), text: z.string() })),
  /** The first curve minus the second, where both have data. */
  subtractCurves: command(
    z.object({ curveId: Id, subtractedCurveId: Id }),
    z.object({ points: CurvePoints }),
  ),
  fitMicCorrection: command(
    z.object({ curveId: Id, aims: MicCorrectionAims, sampleRateHz: SampleRate }),
    MicCorrectionFit,
  ),
  /** The shelf that compensates a directional capsule for the singer's distance instead of its curve's. */
  proposeProximity: command(
    z.object({
      pattern: PolarPattern,
      curveDistanceM: z.number().min(0.01).max(MAX_MIC_DISTANCE_M),
      voiceDistanceM: z.number().min(0.01).max(MAX_MIC_DISTANCE_M),
    }),
    ProximityProposal,
  ),
  /** How a chain changes when its voice moves from one mic to another; nothing is saved. */
  planCarry: command(
    z.object({
      chainVersionId: Id,
      fromCurveId: Id,
      toCurveId: Id,
      /** null selects the aim that keeps the sound better; the chain's own if it is close enough. */
      aim: CarryAim.nullable(),
      limits: CarryLimits.partial(),
      sampleRateHz: SampleRate,
    }),
    CarryPlan,
  ),

  listSongs: command(z.object({ artistId: Id.optional() }), z.array(Song)),
  listSessions: command(Nothing, z.array(ListedSession)),
  /** Also creates groups for lead, doubles and ad-libs, and the song if the artist has none of that title. */
  createSession: command(
    SessionFields.omit({ songId: true, sharedChainVersionId: true }).extend({
      /** Quarter notes if omitted. */
      beatUnit: SessionFields.shape.beatUnit.optional(),
      /** None if omitted. */
      tempoChanges: SessionFields.shape.tempoChanges.optional(),
      artistId: Id,
      songTitle: Name,
    }),
    Session,
  ),
  updateSession: command(
    z.object({ id: Id, changes: SessionFields.omit({ songId: true, sampleRateHz: true }).partial() }),
    Session,
  ),
  /** Earlier sessions with chains of the voices of this one, newest first; of its artist if none is named. */
  listEarlierSessions: command(z.object({ sessionId: Id }), z.array(ListedSession)),
  openSession: command(z.object({ id: Id }), SessionContents),

  /** Ties an uploaded file (incomingRoute) to this page: it is deleted with it unless an import uses it. */
  bindUploadToPage: command(z.object({ path: Path }), Nothing),
  /** Deletes uploaded files that will not be imported. */
  discardUploads: command(z.object({ paths: listOf(Path, 10_000) }), Nothing),
  /** If cancelled, the takes imported so far are kept. Fails with `cancelled` if there are none. */
  importTakes: command(
    z.object({
      sessionId: Id,
      files: z
        .array(z.object({ path: Path, name: nameable(z.string().max(300)).optional() }))
        .min(1)
        .max(1000),
      voiceId: Id.nullable(),
      micId: Id.nullable(),
      curveId: Id.nullable(),
    }),
    ImportOutcome,
  ),
  updateTake: command(
    z.object({
      id: Id,
      changes: z.object({
        name: Name.optional(),
        voiceId: Id.nullable().optional(),
        micId: Id.nullable().optional(),
        curveId: Id.nullable().optional(),
      }),
    }),
    Take,
  ),

  /**
   * Takes of a session, or of all sessions, whose bytes are nowhere they were seen, with the absolute path where
   * they were.
   */
  listMissingTakes: command(
    z.object({ sessionId: Id.nullable() }),
    z.array(TakeFile.extend({ state: TakeAbsence })),
  ),
  /**
   * Searches a folder and its subfolders for the files of missing takes, by size and then by hash. Changes
   * nothing; relinkTakes takes what was found.
   */
  searchMissingTakes: command(
    z.object({ sessionId: Id.nullable(), folder: Path }),
    z.object({
      found: z.array(TakeFile),
      /** How many files there are. */
      files: z.int().nonnegative(),
      /** How many files and folders could not be read. */
      unread: z.int().nonnegative(),
    }),
  ),
  /**
   * Tells where the files of takes are now; `changed` if the bytes of one do not have the take's hash. All or
   * none. Returns the places of before, for restoreTakePlaces.
   */
  relinkTakes: command(z.object({ takes: listOf(TakeFile, MAX_RELOCATED) }), z.array(TakePlaces)),
  /** Other files with the bytes of a take: copies that were seen, and in archives. Absolute paths; reads them. */
  findTakeCopies: command(z.object({ takeId: Id }), z.object({ paths: z.array(z.string()) })),
  /** Undoes relinkTakes; all or none. */
  restoreTakePlaces: command(z.object({ takes: listOf(TakePlaces, MAX_RELOCATED) }), Nothing),

  /** Sets voice, mic and curve of several takes; all or none. */
  updateTakes: command(
    z.object({
      takes: listOf(
        z.object({
          id: Id,
          voiceId: Id.nullable().optional(),
          micId: Id.nullable().optional(),
          curveId: Id.nullable().optional(),
        }),
        MAX_TOGETHER,
      ),
    }),
    z.array(Take),
  ),

  /**
   * Takes of all days or of one artist, newest first. Every search word starts a word of the take's name,
   * path, artist, voice, mic, songs, notes or findings.
   */
  findTakes: command(
    z.object({
      search: z.string().max(1000),
      artistId: Id.optional(),
      limit: z.int().min(1).max(MAX_FOUND_TAKES),
      offset: z.int().nonnegative(),
    }),
    z.array(FoundTake),
  ),
  /** Idempotent; all or none. */
  addTakesToSession: command(z.object({ sessionId: Id, takeIds: Ids }), z.array(Take)),
  /** Only possible if the session has no layers of the takes, which stay in the catalogue; all or none. */
  removeTakesFromSession: command(z.object({ sessionId: Id, takeIds: Ids }), Nothing),

  /** Passing the id and position of a removed group restores it. */
  createGroup: command(
    GroupFields.extend({ sessionId: Id, id: Id.optional(), position: z.int().nonnegative().optional() }),
    Group,
  ),
  /** Also removes its layers, and returns them for undo. */
  removeGroup: command(z.object({ id: Id }), z.object({ group: Group, layers: z.array(Layer) })),
  updateGroup: command(z.object({ id: Id, changes: GroupFields.partial() }), Group),
  /** Passing the id and position of a removed layer restores it. */
  addLayer: command(
    LayerFields.extend({
      polarityInverted: z.boolean().optional(),
      sessionId: Id,
      id: Id.optional(),
      position: z.int().nonnegative().optional(),
    }),
    Layer,
  ),
  /**
   * Adds the named groups without a chain, then the layers; `index` counts the new groups.
   * All or none. Passing the ids and positions of removed groups and layers restores them.
   */
  addLayers: command(
    z.object({
      sessionId: Id,
      groups: listOf(
        GroupFields.extend({ id: Id.optional(), position: z.int().nonnegative().optional() }),
        10,
      ),
      layers: listOf(
        LayerFields.omit({ groupId: true }).extend({
          polarityInverted: z.boolean().optional(),
          group: z.union([z.object({ id: Id }), z.object({ index: z.int().nonnegative() })]),
          id: Id.optional(),
          position: z.int().nonnegative().optional(),
        }),
        MAX_TOGETHER,
      ),
    }),
    z.object({ groups: z.array(Group), layers: z.array(Layer) }),
  ),
  updateLayer: command(z.object({ id: Id, changes: LayerFields.omit({ takeId: true }).partial() }), Layer),
  /** Sets fields of several layers, which may differ from layer to layer; all or none. */
  updateLayers: command(
    z.object({
      layers: listOf(
        z.object({ id: Id, changes: LayerFields.omit({ takeId: true }).partial() }),
        MAX_TOGETHER,
      ),
    }),
    z.array(Layer),
  ),
  removeLayer: command(z.object({ id: Id }), Layer),
  /** Removes layers, then groups, which must have no other layers; all or none. */
  removeLayers: command(z.object({ layerIds: Ids, groupIds: Ids }), Nothing),

  /** Passing the id of a removed section restores it. */
  addSection: command(SectionFields.extend({ sessionId: Id, id: Id.optional() }), Section),
  updateSection: command(z.object({ id: Id, changes: SectionFields.partial() }), Section),
  removeSection: command(z.object({ id: Id }), Section),
  /** Markers in the files of the layers, as sections at their places; those of missing files are left out. */
  listFileMarkers: command(
    z.object({ sessionId: Id }),
    z.array(SectionFields.extend({ takeName: z.string() })),
  ),

  listChains: command(z.object({ voiceId: Id.optional() }), z.array(Chain)),
  listChainVersions: command(z.object({ chainId: Id }), z.array(ChainVersion)),
  /** The chain versions that each session is set to. */
  listSessionChains: command(Nothing, z.array(SessionChain)),
  /**
   * Saves a new, immutable version; creates the chain if `chainId` is null. With `newestId`, the newest version
   * that the user knows of, fails with `conflict` if the chain has a newer one.
   */
  saveChain: command(
    z.object({
      voiceId: Id,
      chainId: Id.nullable(),
      newestId: Id.optional(),
      /** The version that was edited; the newest of the chain if omitted. */
      editedId: Id.optional(),
      /** A version whose settings were taken over as well, where a chain has gone two ways. */
      mergedId: Id.optional(),
      name: Name,
      stages: ChainStages,
      note: wellFormed(10_000),
    }),
    ChainVersion,
  ),
  listChainDrafts: command(z.object({ sessionId: Id }), z.array(ChainDraftRecord)),
  /**
   * Writes an owner's draft, or removes it if `stages` is null. `known` is the revision that it replaces, null for
   * none; fails with `conflict` if the stored one is another, which another window has written.
   */
  keepChainDraft: command(
    z.object({
      sessionId: Id,
      groupId: Id.nullable(),
      known: z.uuid().nullable(),
      baseVersionId: Id.nullable(),
      stages: ChainStages.nullable(),
      writer: z.uuid(),
    }),
    z.object({ revision: z.uuid().nullable() }),
  ),
  /**
   * Level, crest factor and strands of one take at every joint of a chain, and the names of its rows along the song,
   * which the window reads from `rowsRoute`. What a chain measured before has in common with it is not measured again.
   */
  measureChain: command(z.object({ takeId: Id, stages: ChainStages }), SongOfChain),
  /** The same of what the group's chain gets in its session, muted layers left out; only where groups have chains of their own. */
  measureGroup: command(z.object({ groupId: Id, stages: ChainStages }), SongOfGroup),
  /** As measureChain, of a part of the take and without rows: soon there, whatever the length of the take. */
  measureChainPart: command(
    z
      .object({ takeId: Id, stages: ChainStages, fromSeconds: z.number().min(0), toSeconds: z.number() })
      .refine(({ fromSeconds, toSeconds }) => toSeconds > fromSeconds, {
        error: 'must be later than fromSeconds',
        path: ['toSeconds'],
      }),
    ChainMeasurement,
  ),
  /** Output gain at which a drive stage is as loud as its input, for a take through the stages before it. */
  matchDrive: command(
    z.object({
      takeId: Id,
      stages: ChainStages,
      stageIndex: z
        .int()
        .min(0)
        .max(MAX_STAGES - 1),
    }),
    z.object({ outputDb: z.number() }),
  ),
  /** Response in dB of a chain's linear stages for one take's mic, computed from filter coefficients. */
  chainResponse: command(
    z.object({
      takeId: Id.nullable(),
      stages: ChainStages,
      sampleRateHz: SampleRate,
      frequenciesHz: z.array(z.number().positive()).max(4000),
    }),
    z.object({ stages: z.array(z.array(z.number()).nullable()), fit: CorrectionFit.nullable() }),
  ),

  /** Voice analysis of a take and proposed settings; `not-enough-material` if it has too little voice. */
  analyseVoice: command(
    z.object({ takeId: Id }),
    z.object({
      analysis: VoiceAnalysed,
      /** From takes of earlier sessions, converted to this take's mic if the curves of both are known. */
      usualBalances: UsualBalances,
      proposals: z.array(StageProposal),
      /** Sentences on how the mics of earlier takes affect the result. */
      remarks: z.array(z.string()),
    }),
  ),
  /** Compares a take with the same voice's takes of earlier sessions. */
  runSoundcheck: command(z.object({ takeId: Id }), SoundcheckResult),

  /** The sessions of a voice in the order of time, and the versions of its chains. */
  readVoiceBook: command(z.object({ voiceId: Id }), VoiceBook),
  /** Marks a version of a chain, or removes the mark; idempotent. */
  pinChainVersion: command(z.object({ id: Id, isPinned: z.boolean() }), Nothing),

  /**
   * Everything in which each search word begins a word: artists, songs, notes, takes, stages, mics. At most `limit`
   * of each kind, newest first.
   */
  searchEverything: command(
    z.object({ search: z.string().max(1000), limit: z.int().min(1).max(MAX_FOUND_TAKES) }),
    z.array(FoundThing),
  ),

  openPlayback: command(PlaybackSource, OpenedPlayback),
  /** Applies other settings from the next span on, without changing the id or the position. */
  tunePlayback: command(z.object({ playbackId: z.string(), source: PlaybackSource }), OpenedPlayback),
  /** Gains that make dry and processed equally loud over a span by lowering the louder side. */
  matchPlayback: command(
    z.object({
      playbackId: z.string(),
      fromFrame: z.int(),
      toFrame: z.int(),
      /** Stops once this much active material has been measured. */
      maxSeconds: z.number().positive(),
    }),
    MatchGains,
  ),
  closePlayback: command(z.object({ playbackId: z.string() }), Nothing),

  /** Measures the processed stack as a whole, with the saved chains. */
  measureStack: command(
    z.object({ sessionId: Id, range: SongRange.optional() }),
    StackMeasurement.extend({
      /** Names of the takes that are not in it, because their files are missing. */
      missing: z.array(z.string()),
    }),
  ),
  /** What builds up in the processed stack over its lead, with the saved chains, and through which layers. */
  checkStack: command(z.object({ sessionId: Id, range: SongRange }), StackCheck),
  bounceSession: command(
    z.object({
      ...{ sessionId: Id, folder: Path, encoding: StemEncoding, layerStems: z.boolean() },
      /** The whole song if left out. */
      range: SongRange.optional(),
    }),
    BounceOutcome,
  ),
  /** What `deliver` would write, and how large; nothing is written. */
  previewDelivery: command(DeliveryRequest, DeliveryPreview),
  /** Writes the next delivery of a session as a folder of its own inside `folder`. */
  deliver: command(DeliveryRequest.extend({ folder: Path }), DeliveryOutcome),
  /** Newest first. */
  listDeliveries: command(z.object({ sessionId: Id }), z.array(DeliveryRecord)),
  /** Also verifies the manifest of a delivery. */
  verifyBounce: command(z.object({ manifestPath: Path }), Verification),
  /** The bounces of one session, of one artist, or all of them; newest first. */
  listBounces: command(
    z
      .object({ sessionId: Id.optional(), artistId: Id.optional() })
      .refine(({ sessionId, artistId }) => sessionId === undefined || artistId === undefined, {
        error: 'name a session or an artist, not both',
      }),
    z.array(BounceRecord),
  ),
  /** Levels of the stems, as the manifest of a bounce has them. */
  readBounceLevels: command(z.object({ bounceId: Id }), z.array(StemLevels)),
  /** Measures the whole stack of a bounce, rendered from its manifest as it was bounced. */
  measureBounce: command(z.object({ bounceId: Id }), StackMeasurement),
  /** Writes the history of a voice, without sound, to a new file for another computer. */
  exportVoice: command(
    z.object({ voiceId: Id, path: Path }),
    z.object({ file: z.string(), sizeBytes: z.int().nonnegative() }),
  ),
  /** What importVoice would do with a file, and what has to be answered first; changes nothing. */
  previewVoice: command(z.object({ path: Path, answers: HistoryAnswers.optional() }), HistoryMerge),
  /** Merges the history of a voice; all or nothing. Fails with `conflict` while a question is open. */
  importVoice: command(z.object({ path: Path, answers: HistoryAnswers.optional() }), HistoryMerge),
  /** Settings of a session that other computers have set otherwise, and that no settings here were made from. */
  listOtherSettings: command(z.object({ sessionId: Id }), z.array(OtherSettings)),
  /** Makes such settings valid; fails with `not-found` where they are not kept. Gives what `returnToSettings` needs. */
  takeOtherSettings: command(ChosenSettings, FormerSettings),
  /** Undoes takeOtherSettings. */
  returnToSettings: command(z.object({ sessionId: Id, former: FormerSettings }), Nothing),
  listLedger: command(
    z.object({ artistId: Id.optional(), limit: z.int().min(1).max(MAX_LEDGER_ENTRIES) }),
    z.array(LedgerEntry),
  ),
} as const

/** The names of the commands. */
export type CommandName = keyof typeof commands
/** The input of a command as a caller writes it, before parsing. */
export type InputOf<C extends CommandName> = z.input<(typeof commands)[C]['input']>
/** The parsed input of a command, as a handler receives it. */
export type ParsedInputOf<C extends CommandName> = z.output<(typeof commands)[C]['input']>
/** What a command returns. */
export type OutputOf<C extends CommandName> = z.output<(typeof commands)[C]['output']>

/** What a handler receives besides its input. */
export interface CallContext {
  /** Aborted when the call is cancelled or its page is closed. */
  readonly signal: AbortSignal
  /**
   * Lifetime of the calling page: one signal for all of its calls, aborted once the page is gone, for work
   * that must not outlive it. Absent if the caller is not a page, as on the command line.
   */
  readonly page?: AbortSignal
  /** Reports progress from 0 to 1, and the current step in a few words. */
  report(fraction: number, doing: string): void
}

/** One handler per command; receives the parsed input. */
export type Handlers = {
  readonly [C in CommandName]: (input: ParsedInputOf<C>, context: CallContext) => Promise<OutputOf<C>>
}

/** Events that the services send to every window, with the schemas of their data. */
export const events = {
  /** A problem that no call reports. */
  warning: z.object({ message: z.string() }),
  /** Lists that may have changed. */
  catalogueChanged: z.object({
    subjects: z.array(
      z.enum(['artists', 'mics', 'sessions', 'takes', 'stack', 'chains', 'drafts', 'ledger']),
    ),
  }),
} as const
/** The names of the events. */
export type EventName = keyof typeof events
export type EventOf<E extends EventName> = z.infer<(typeof events)[E]>
