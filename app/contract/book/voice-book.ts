// The book of a voice: its sessions as figures in the order of time, and the versions of its chains.

import { z } from 'zod'
import type { SeasonFigure as EngineFigure } from '../../dsp/seasons/figures.ts'
import { BounceRecord, Chain, ChainVersion, Id, IsoDate, Session, Take, Voice } from '../entities.ts'

/** In the order in which they are shown. */
export const SEASON_FIGURES = [
  'level',
  'pitch-low',
  'pitch',
  'pitch-high',
  'low',
  'mud',
  'nasal',
  'harsh',
  'sibilance',
  'air',
] as const
/** Level in dBFS, pitch in semitones over 440 Hz, balances in dB. */
export const SeasonFigure = z.enum(SEASON_FIGURES)
export type SeasonFigure = z.infer<typeof SeasonFigure>

/** The part of a take's voice analysis that the figures are made of, as it is read from the catalogue. */
export const SeasonTakeFacts = z.object({
  voiceLevelDbfs: z.number(),
  fundamental: z.object({ p5Hz: z.number(), medianHz: z.number(), p95Hz: z.number() }),
  levelsDbfs: z.array(z.number().nullable()).readonly(),
  sibilance: z.object({ peakHz: z.number().nullable(), upperRatioDb: z.number().nullable() }),
})

/** A figure of one session. */
const BookFigure = z.object({
  /** Median over the takes. */
  value: z.number(),
  lowest: z.number(),
  highest: z.number(),
  /** Over the earlier sessions that it can be compared with; null with fewer than four. */
  usual: z.object({ sessions: z.int(), median: z.number(), spread: z.number() }).nullable(),
  isUnusual: z.boolean(),
})
export type BookFigure = z.infer<typeof BookFigure>

/** A session of the voice, with the way to everything in it. */
export const BookSession = z.object({
  sessionId: Id,
  date: IsoDate,
  songTitle: Session.shape.songTitle,
  /** The mic of most takes; null if it is not known. */
  mic: z.object({ id: Id, name: z.string() }).nullable(),
  /** Whether the response of the mics has been taken out of the figures: their curves are known. */
  isMicTakenOut: z.boolean(),
  takes: z.array(Take.pick({ id: true, name: true })),
  /** Takes on other mics, or not analysed, that are no part of the figures. */
  takesLeftOut: z.int().nonnegative(),
  chains: z.array(
    ChainVersion.pick({
      chainId: true,
      chainName: true,
      number: true,
      node: true,
      sharesNumber: true,
    }).extend({
      chainVersionId: Id,
    }),
  ),
  bounces: z.array(BounceRecord.pick({ id: true, manifestPath: true, createdAt: true })),
  figures: z.partialRecord(SeasonFigure, BookFigure),
})
export type BookSession = z.infer<typeof BookSession>

/** A change that the sessions show and showed already before the last one; indices of the sessions. */
export const BookChange = z.discriminatedUnion('kind', [
  z.object({
    kind: z.literal('trend'),
    figure: SeasonFigure,
    sessions: z.int(),
    change: z.number(),
    withinMics: z.boolean(),
  }),
  z.object({
    kind: z.literal('step'),
    figure: SeasonFigure,
    sessions: z.int(),
    since: z.int().nonnegative(),
    difference: z.number(),
  }),
])
export type BookChange = z.infer<typeof BookChange>

/** A saved version of a chain in the tree of its versions. */
export const BookVersion = ChainVersion.pick({
  id: true,
  chainId: true,
  number: true,
  note: true,
  createdAt: true,
  node: true,
  machineName: true,
  sharesNumber: true,
}).extend({
  /** The versions that it was made from; two for one that joins two. */
  parentIds: z.array(Id),
  isPinned: z.boolean(),
  uses: z.array(
    z.object({
      sessionId: Id,
      date: IsoDate,
      songTitle: z.string(),
      /** null for the group's chain that all groups share. */
      groupId: Id.nullable(),
      groupName: z.string().nullable(),
    }),
  ),
})
export type BookVersion = z.infer<typeof BookVersion>

/** Everything that the page of a voice shows. */
export const VoiceBook = z.object({
  voice: Voice.extend({ artistName: z.string() }),
  /** Oldest first. */
  sessions: z.array(BookSession),
  changes: z.array(BookChange),
  /** Oldest version first. */
  chains: z.array(Chain.pick({ id: true, name: true }).extend({ versions: z.array(BookVersion) })),
})
export type VoiceBook = z.infer<typeof VoiceBook>

// Compile-time check that the figures are those of the engine.
null as unknown as SeasonFigure satisfies EngineFigure
null as unknown as EngineFigure satisfies SeasonFigure
