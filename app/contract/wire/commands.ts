// Every act the program can be asked for, with its input and its output. All types on
// either side of a border are inferred from here, and input is parsed once, in serve.ts.

import { z } from 'zod'
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
import {
  Artist,
  ArtistFields,
  BounceRecord,
  Chain,
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
  Mic,
  MicFields,
  PolarPattern,
  Session,
  SessionContents,
  SessionFields,
  Song,
  Take,
  Voice,
  VoiceFields,
} from '../entities.ts'
import { ChainMeasurement } from '../joints.ts'
import { Stem } from '../manifest.ts'
import { MatchGains, OpenedPlayback, PlaybackSource } from '../playback.ts'
import { StackMeasurement } from '../stack-measurement.ts'
import { STEM_ENCODINGS } from '../stem-encoding.ts'
import { listOf, nameable, SampleRate } from '../text/bounded.ts'
import { MAX_CURVE_CHARACTERS, MAX_NAME, MAX_PATH, MAX_STAGES } from '../text/limits.ts'
import { SoundcheckResult, StageProposal, UsualBalances, VoiceAnalysed } from '../voice-analysis.ts'
import { FailureData } from './failure-data.ts'
import { LongAct } from './long-acts.ts'

const Nothing = z.object({})
const Path = nameable(z.string().min(1).max(MAX_PATH))

/** What was imported, and what was refused and why; a batch may be partly done. */
export const ImportOutcome = z.object({
  takes: z.array(Take),
  refused: z.array(z.object({ path: z.string(), failure: FailureData })),
  /** Sentences to show: converted rates, a take that was imported before. */
  remarks: z.array(z.string()),
})
export type ImportOutcome = z.infer<typeof ImportOutcome>

/** What stems are written as. */
export const StemEncoding = z.enum(STEM_ENCODINGS)
export type StemEncoding = z.infer<typeof StemEncoding>

/** What a bounce wrote, with remarks as sentences. */
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

/** Which stems of a bounce came out the same again, and which differ and why. */
export const Verification = z.object({
  same: z.array(z.string()),
  differing: z.array(z.object({ stem: z.string(), reason: z.string() })),
})
export type Verification = z.infer<typeof Verification>

/** Outcome of a long act. */
export const LongActOutcome = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('bounce'), outcome: BounceOutcome }),
  z.object({ kind: z.literal('import'), outcome: ImportOutcome }),
  z.object({ kind: z.literal('demo'), sessions: z.array(Id) }),
])
export type LongActOutcome = z.infer<typeof LongActOutcome>

const command = <I extends z.ZodType, O extends z.ZodType>(input: I, output: O) => ({ input, output })

/** Every command with the schemas of its input and output. */
export const commands = {
  readWorkplace: command(
    Nothing,
    z.object({
      cataloguePath: z.string(),
      bounceFolder: z.string(),
      programVersion: z.string(),
      /** Nothing in the catalogue yet: the window offers the demo. */
      empty: z.boolean(),
      /** What went wrong before the window was connected. */
      warnings: z.array(z.string()),
    }),
  ),
  buildDemo: command(Nothing, z.object({ sessions: z.array(Id) })),
  /** Bounces, imports and demo builds that run, or that ended while no page was connected. */
  listLongActs: command(Nothing, z.array(LongAct)),
  /** Reports the act's progress and resolves with its outcome; cancelling this call cancels the act. */
  followLongAct: command(z.object({ id: Id }), LongActOutcome),

  listArtists: command(Nothing, z.array(Artist)),
  createArtist: command(ArtistFields, Artist),
  listVoices: command(z.object({ artistId: Id.optional() }), z.array(Voice)),
  createVoice: command(VoiceFields, Voice),

  listMics: command(Nothing, z.array(Mic)),
  /** With the id of a removed mic it comes back as it was; the same for a curve. */
  createMic: command(MicFields.extend({ id: Id.optional() }), Mic),
  updateMic: command(z.object({ id: Id, changes: MicFields.partial() }), Mic),
  /** Only without curves and takes. */
  removeMic: command(z.object({ id: Id }), Mic),
  listCurves: command(z.object({ micId: Id.optional() }), z.array(CurveRecord)),
  /** The text of a curve as people have it: CSV, semicolons, tabs or spaces. */
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
  subtractCurves: command(z.object({ curveId: Id, lessCurveId: Id }), z.object({ points: CurvePoints })),
  fitMicCorrection: command(
    z.object({ curveId: Id, aims: MicCorrectionAims, sampleRateHz: SampleRate }),
    MicCorrectionFit,
  ),
  /** The shelf that takes a directional capsule from the distance of its curve to that of the singer. */
  proposeProximity: command(
    z.object({
      pattern: PolarPattern,
      curveDistanceM: z.number().min(0.01).max(100),
      voiceDistanceM: z.number().min(0.01).max(100),
    }),
    ProximityProposal,
  ),
  /** How a chain changes when its voice moves from one mic to another; nothing is saved. */
  planCarry: command(
    z.object({
      chainVersionId: Id,
      fromCurveId: Id,
      toCurveId: Id,
      /** null: whichever keeps the sound; the chain's own aim where that does. */
      aim: CarryAim.nullable(),
      limits: CarryLimits.partial(),
      sampleRateHz: SampleRate,
    }),
    CarryPlan,
  ),

  listSongs: command(z.object({ artistId: Id.optional() }), z.array(Song)),
  listSessions: command(Nothing, z.array(Session)),
  /** Makes the song as well where the artist has none of that title; groups for lead, doubles and ad-libs are made with it. */
  createSession: command(
    SessionFields.omit({ songId: true, sharedChainVersionId: true }).extend({
      artistId: Id,
      songTitle: nameable(z.string().trim().min(1).max(MAX_NAME)),
    }),
    Session,
  ),
  updateSession: command(
    z.object({ id: Id, changes: SessionFields.omit({ songId: true, sampleRateHz: true }).partial() }),
    Session,
  ),
  openSession: command(z.object({ id: Id }), SessionContents),

  /** A file that this page has sent (incomingRoute) goes with the page, unless an import has it by then. */
  bindSentFile: command(z.object({ path: Path }), Nothing),
  /** Sent files that no import is going to take in are removed. */
  dropSentFiles: command(z.object({ paths: listOf(Path, 10_000) }), Nothing),
  /** When cancelled, it keeps the takes imported so far; the failure says how many (`imported`, `of`). */
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
        name: nameable(z.string().trim().min(1).max(MAX_NAME)).optional(),
        voiceId: Id.nullable().optional(),
        micId: Id.nullable().optional(),
        curveId: Id.nullable().optional(),
        /** Where a vanished file is now; taken only if its bytes have the same hash. */
        path: Path.optional(),
      }),
    }),
    Take,
  ),

  /** A page of the takes of all days, or of one artist's, newest first; every word begins a word of the name or path. */
  findTakes: command(
    z.object({
      search: z.string().max(1000),
      artistId: Id.optional(),
      limit: z.int().min(1).max(1000),
      offset: z.int().nonnegative(),
    }),
    z.array(FoundTake),
  ),
  /** Idempotent. */
  addTakeToSession: command(z.object({ sessionId: Id, takeId: Id }), Take),
  /** Only without layers; the take itself stays in the catalogue. */
  takeOutOfSession: command(z.object({ sessionId: Id, takeId: Id }), Nothing),

  /** With the id and position of a removed group it comes back as it was. */
  createGroup: command(
    GroupFields.extend({ sessionId: Id, id: Id.optional(), position: z.int().nonnegative().optional() }),
    Group,
  ),
  /** Its layers go with it, and are given back for undo. */
  removeGroup: command(z.object({ id: Id }), z.object({ group: Group, layers: z.array(Layer) })),
  updateGroup: command(z.object({ id: Id, changes: GroupFields.partial() }), Group),
  /** With the id and position of a removed layer it comes back as it was. */
  addLayer: command(
    LayerFields.extend({ sessionId: Id, id: Id.optional(), position: z.int().nonnegative().optional() }),
    Layer,
  ),
  updateLayer: command(z.object({ id: Id, changes: LayerFields.omit({ takeId: true }).partial() }), Layer),
  removeLayer: command(z.object({ id: Id }), Layer),

  listChains: command(z.object({ voiceId: Id.optional() }), z.array(Chain)),
  listChainVersions: command(z.object({ chainId: Id }), z.array(ChainVersion)),
  /** Saves a new, immutable version; makes the chain when `chainId` is null. */
  saveChain: command(
    z.object({
      voiceId: Id,
      chainId: Id.nullable(),
      name: nameable(z.string().trim().min(1).max(MAX_NAME)),
      stages: ChainStages,
      note: z.string().max(10_000),
    }),
    ChainVersion,
  ),
  /** Level, crest factor and strands of one take at every joint of a chain. */
  measureChain: command(z.object({ takeId: Id, stages: ChainStages }), ChainMeasurement),
  /** Output of one drive stage at which driven and clean are equally loud on a take, through the stages before it. */
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
  /** Response of a chain's linear stages for one take's mic in dB at the given frequencies, from the coefficients that sound. */
  respondChain: command(
    z.object({
      takeId: Id.nullable(),
      stages: ChainStages,
      sampleRateHz: SampleRate,
      frequenciesHz: z.array(z.number().positive()).max(4000),
    }),
    z.object({ stages: z.array(z.array(z.number()).nullable()), fit: CorrectionFit.nullable() }),
  ),

  /** What a take says of its voice, and settings to start from; fails with `not-enough-material` under 10 s of voice. */
  analyseVoice: command(
    z.object({ takeId: Id }),
    z.object({
      analysis: VoiceAnalysed,
      /** From takes of earlier sessions, as they would read on this take's mic where the curves of both are known. */
      usualBalances: UsualBalances,
      proposals: z.array(StageProposal),
      /** What the earlier takes' mics have to do with it. */
      remarks: z.array(z.string()),
    }),
  ),
  /** A take beside the same voice's takes of earlier sessions. */
  checkSound: command(z.object({ takeId: Id }), SoundcheckResult),

  openPlayback: command(PlaybackSource, OpenedPlayback),
  /** Hears other settings from the next span on; same id, same place. */
  tunePlayback: command(z.object({ playbackId: z.string(), source: PlaybackSource }), OpenedPlayback),
  /** Gains that make dry and processed equally loud over a span, the louder side lowered. */
  matchPlayback: command(
    z.object({
      playbackId: z.string(),
      fromFrame: z.int(),
      toFrame: z.int(),
      /** Stops once this much active material was heard. */
      secondsAtMost: z.number().positive(),
    }),
    MatchGains,
  ),
  closePlayback: command(z.object({ playbackId: z.string() }), Nothing),

  /** The processed stack as a whole, with the saved chains. */
  measureStack: command(z.object({ sessionId: Id }), StackMeasurement),
  bounceSession: command(
    z.object({ sessionId: Id, folder: Path, encoding: StemEncoding, layerStems: z.boolean() }),
    BounceOutcome,
  ),
  verifyBounce: command(z.object({ manifestPath: Path }), Verification),
  /** Of one session or of one artist; of all when neither is said. Newest first. */
  listBounces: command(
    z
      .object({ sessionId: Id.optional(), artistId: Id.optional() })
      .refine(({ sessionId, artistId }) => sessionId === undefined || artistId === undefined, {
        error: 'name a session or an artist, not both',
      }),
    z.array(BounceRecord),
  ),
  listLedger: command(
    z.object({ artistId: Id.optional(), limit: z.int().min(1).max(10_000) }),
    z.array(LedgerEntry),
  ),
} as const

/** The names of the commands. */
export type CommandName = keyof typeof commands
/** As a caller writes it, before parsing. */
export type InputOf<C extends CommandName> = z.input<(typeof commands)[C]['input']>
/** As a handler gets it, parsed. */
export type ParsedInputOf<C extends CommandName> = z.output<(typeof commands)[C]['input']>
/** What a command gives back. */
export type OutputOf<C extends CommandName> = z.output<(typeof commands)[C]['output']>

/** What a handler receives besides its input. */
export interface CallContext {
  /** Aborted when the call is cancelled or its page is closed. */
  readonly signal: AbortSignal
  /**
   * The page that asks: the same signal for all of its calls, aborted once the page is gone, for work that must not
   * outlive it. Left out where no page asks, as on the command line.
   */
  readonly page?: AbortSignal
  /** 0 to 1, and the current step in a few words. */
  report(fraction: number, doing: string): void
}

/** One handler for each command; gets the parsed input. */
export type Handlers = {
  readonly [C in CommandName]: (input: ParsedInputOf<C>, context: CallContext) => Promise<OutputOf<C>>
}

/** What the services tell every window, with the schema of its data. */
export const events = {
  /** Something is wrong that no call asked about. */
  warning: z.object({ message: z.string() }),
  /** Lists that may read differently now. */
  catalogueChanged: z.object({
    subjects: z.array(z.enum(['artists', 'mics', 'sessions', 'takes', 'stack', 'chains', 'ledger'])),
  }),
} as const
/** The names of the events. */
export type EventName = keyof typeof events
export type EventOf<E extends EventName> = z.infer<(typeof events)[E]>
