// Contents of the demo: an invented artist with two voices, two invented mics, and three sessions. The
// stages' settings are common practice.

import { type ChainStage, defaultStages } from '../../contract/chain-document.ts'
import type { Role } from '../../contract/entities.ts'
import { DEMO_CONDENSER, DEMO_DYNAMIC, type DemoMic } from '../../dsp/voice/demo-mics.ts'
import {
  LEAD_DEVIATIONS,
  LOOSE_DOUBLE_DEVIATIONS,
  type Performance,
  TIGHT_DOUBLE_DEVIATIONS,
} from '../../dsp/voice/performance.ts'
import type { Hum } from '../../dsp/voice/room.ts'
import type { Score } from '../../dsp/voice/score.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../dsp/voice/singers.ts'
import { PAPER_LANTERNS_AD_LIBS, PAPER_LANTERNS_HOOK } from '../../dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_AD_LIBS, SEVEN_STAIRS_VERSE } from '../../dsp/voice/songs/seven-stairs.ts'
import type { VoiceTake } from '../../engine/rendering/render-voice-take.ts'

/** The artist and the sample rate of the demo. */
export const DEMO_ARTIST = 'Ilvo Marrand (invented)'
export const DEMO_RATE_HZ = 48_000

interface DemoLayer {
  readonly take: string
  readonly group: 'Lead' | 'Doubles' | 'Ad-libs'
  readonly role: Role
  readonly score: Score
  readonly performance: Performance
  readonly seed: number
  readonly gainDb: number
  readonly pan: number
  /** Faults that the voice did not cause: hum on the line, phrases of another take. */
  readonly faults?: Pick<VoiceTake, 'hum' | 'takenOver'>
}

/** One session of the demo, with its takes, layers and chain. */
export interface DemoSession {
  readonly song: string
  readonly date: string
  readonly tempoBpm: number
  readonly voice: string
  readonly mic: DemoMic
  readonly chainSharing: 'own' | 'shared'
  readonly chainName: string
  readonly notes: string
  readonly stages: readonly ChainStage[]
  readonly layers: readonly DemoLayer[]
}

const ROOM = {
  reflections: [
    { delayMs: 4.7, levelDb: -24 },
    { delayMs: 9.1, levelDb: -28 },
  ],
  noiseFloorDbfs: -68,
}

const BASE = { peakDbfs: -7, popLevelDb: -6, room: ROOM }

/** Lead, two soft wide doubles and an ad-lib. */
function layersOf(
  name: string,
  singer: Performance['singer'],
  lead: Score,
  adLibs: Score,
  seed: number,
): readonly DemoLayer[] {
  const double = (
    side: string,
    deviations: Performance['deviations'],
    own: number,
    pan: number,
  ): DemoLayer => ({
    take: `${name} double ${side}`,
    group: 'Doubles',
    role: 'double',
    score: lead,
    performance: { ...BASE, singer, deviations, effortDb: -5, peakDbfs: -12 },
    seed: own,
    gainDb: -6,
    pan,
  })
  return [
    {
      take: `${name} lead`,
      group: 'Lead',
      role: 'lead',
      score: lead,
      performance: { ...BASE, singer, deviations: LEAD_DEVIATIONS, effortDb: 0 },
      seed,
      gainDb: 0,
      pan: 0,
    },
    double('left', TIGHT_DOUBLE_DEVIATIONS, seed + 1, -0.7),
    double('right', LOOSE_DOUBLE_DEVIATIONS, seed + 2, 0.7),
    {
      take: `${name} ad-libs`,
      group: 'Ad-libs',
      role: 'ad-lib',
      score: adLibs,
      performance: { ...BASE, singer, deviations: LEAD_DEVIATIONS, effortDb: -1, peakDbfs: -9 },
      seed: seed + 3,
      gainDb: -5,
      pan: 0.25,
    },
  ]
}

/** Hum on one line of the pick-ups, with the strong odd harmonics of a ground loop. */
const LINE_HUM: Hum = { mainsHz: 50, levelsDbfs: [-62, -74, -66, -80, -71, -86, -76] }

/** Position of the third shout in the ad-libs, with the pauses around it. */
const THIRD_SHOUT = { fromS: 7.9, toS: 10.4 }

/** A lead and two ad-lib takes, recorded in a hurry a month later: pops, noise, hum, and one shout twice. */
function pickUpLayers(): readonly DemoLayer[] {
  const hurried: Performance = {
    ...BASE,
    singer: RAP_BARITONE,
    deviations: LEAD_DEVIATIONS,
    effortDb: -2,
    popLevelDb: 8,
    room: { ...ROOM, noiseFloorDbfs: -58 },
  }
  const adLibs = { score: SEVEN_STAIRS_AD_LIBS, performance: { ...hurried, peakDbfs: -9 }, seed: 3301 }
  return [
    {
      take: 'Stairs pick-up lead',
      group: 'Lead',
      role: 'lead',
      score: SEVEN_STAIRS_VERSE,
      performance: hurried,
      seed: 3300,
      gainDb: 0,
      pan: 0,
    },
    {
      ...adLibs,
      take: 'Stairs pick-up ad-libs',
      group: 'Ad-libs',
      role: 'ad-lib',
      gainDb: -5,
      pan: -0.2,
      faults: { hum: LINE_HUM },
    },
    {
      ...adLibs,
      take: 'Stairs pick-up ad-libs comp',
      group: 'Ad-libs',
      role: 'ad-lib',
      seed: 3302,
      gainDb: -8,
      pan: 0.4,
      faults: { takenOver: [{ pass: adLibs, ...THIRD_SHOUT }] },
    },
  ]
}

const expander: ChainStage = {
  kind: 'expander',
  on: true,
  settings: { thresholdDbfs: -52, ratio: 2, rangeDb: 10, attackMs: 2, holdMs: 150, releaseMs: 200 },
}

/** The rap voice's chain, the same on either mic: only the correction's bands differ. */
const RAP_VERSE = {
  tempoBpm: SEVEN_STAIRS_VERSE.tempoBpm,
  voice: 'Rap',
  chainSharing: 'shared',
  chainName: 'Rap verse',
  stages: [
    expander,
    defaultStages['mic-correction'],
    { kind: 'low-cut', on: true, settings: { frequencyHz: 80, slopeDbPerOctave: 24 } },
    {
      kind: 'tone',
      on: true,
      settings: {
        bands: [
          { shape: 'bell', frequencyHz: 315, gainDb: -3, q: 1 },
          { shape: 'bell', frequencyHz: 1600, gainDb: -2.5, q: 2 },
          { shape: 'high-shelf', frequencyHz: 8000, gainDb: 3, q: Math.SQRT1_2 },
        ],
      },
    },
    {
      kind: 'de-ess',
      on: true,
      settings: { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: 2, rangeDb: 6 },
    },
    {
      kind: 'drive',
      on: true,
      settings: { amountDb: 4, referenceDbfs: -12, evenPercent: 30, mixPercent: 80, outputDb: 0 },
    },
    {
      kind: 'opto',
      on: true,
      settings: {
        thresholdDbfs: -22,
        ratio: 4,
        kneeDb: 6,
        attackMs: 8,
        releaseMs: 60,
        recoverySeconds: 2,
        makeUpDb: 3,
      },
    },
    defaultStages.ceiling,
  ],
} as const satisfies Partial<DemoSession>

/** In the order of their dates. */
export const DEMO_SESSIONS: readonly DemoSession[] = [
  {
    song: 'Paper Lanterns',
    date: '2026-09-12',
    tempoBpm: 88,
    voice: 'Sung',
    mic: DEMO_CONDENSER,
    chainSharing: 'own',
    chainName: 'Sung hook',
    notes: 'Generated voices: nobody sang this. Hook with two doubles and ad-libs.',
    stages: [
      expander,
      defaultStages['mic-correction'],
      { kind: 'low-cut', on: true, settings: { frequencyHz: 80, slopeDbPerOctave: 12 } },
      {
        kind: 'tone',
        on: true,
        settings: {
          bands: [
            { shape: 'bell', frequencyHz: 250, gainDb: -2.5, q: 1 },
            { shape: 'bell', frequencyHz: 3150, gainDb: -2, q: 2 },
            { shape: 'high-shelf', frequencyHz: 10_000, gainDb: 3, q: Math.SQRT1_2 },
          ],
        },
      },
      {
        kind: 'de-ess',
        on: true,
        settings: { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: 2, rangeDb: 6 },
      },
      {
        kind: 'drive',
        on: true,
        settings: { amountDb: 2, referenceDbfs: -12, evenPercent: 20, mixPercent: 100, outputDb: 0 },
      },
      {
        kind: 'opto',
        on: true,
        settings: {
          thresholdDbfs: -22,
          ratio: 4,
          kneeDb: 8,
          attackMs: 10,
          releaseMs: 80,
          recoverySeconds: 3,
          makeUpDb: 3,
        },
      },
      defaultStages.ceiling,
    ],
    layers: layersOf('Lanterns hook', SUNG_BARITONE, PAPER_LANTERNS_HOOK, PAPER_LANTERNS_AD_LIBS, 1100),
  },
  {
    song: 'Seven Stairs',
    date: '2026-10-24',
    mic: DEMO_DYNAMIC,
    notes: 'Generated voices: nobody rapped this. One chain shared by all groups, so that the stems add up.',
    layers: layersOf('Stairs verse', RAP_BARITONE, SEVEN_STAIRS_VERSE, SEVEN_STAIRS_AD_LIBS, 2200),
    ...RAP_VERSE,
  },
  {
    song: 'Seven Stairs',
    date: '2026-11-20',
    mic: DEMO_CONDENSER,
    notes:
      'Pick-ups of the same rap voice on the other mic, with faults planted for the check to find: pops, noise, hum, and a comp that took a shout over from the take beside it. Generated: nobody rapped this.',
    layers: pickUpLayers(),
    ...RAP_VERSE,
  },
]
