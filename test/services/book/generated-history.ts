// An invented voice over invented sessions, with a known drift and a known change of mic.

import { type ChainStages, defaultStages } from '../../../app/contract/chain-document.ts'
import type { VoiceAnalysed } from '../../../app/contract/voice-analysis.ts'
import { micLevelsDb } from '../../../app/dsp/analysis/mic-levels.ts'
import { THIRD_OCTAVES } from '../../../app/dsp/analysis/spectra/third-octaves.ts'
import type { Curve } from '../../../app/dsp/correction/curve.ts'
import { createRandom } from '../../../app/dsp/maths/random.ts'
import { createHandlers } from '../../../app/services/handlers.ts'
import type { Workplace } from '../../../app/services/workplace.ts'
import { facts, newTake, sha256Of } from '../../db/entries.ts'
import { context, SESSION_FIELDS } from '../workshop.ts'

export interface GeneratedHistory {
  readonly sessions: number
  /** Rise of the pitch from session to session. */
  readonly pitchSemitones?: number
  /** Rise of 10 to 16 kHz from session to session. */
  readonly airDb?: number
  /** The first session with the second mic; none by default. */
  readonly otherMicFrom?: number
  /** Whether the mics have curves. */
  readonly haveCurves?: boolean
  /** Standard deviation from session to session in dB; a quarter of it in semitones. */
  readonly spreadDb?: number
  /** The session whose air is 9 dB higher. */
  readonly brightAt?: number
}

const MEDIAN_HZ = 180
const FREQUENCIES_HZ = [20, 60, 100, 200, 400, 800, 1600, 3000, 5000, 8000, 11_000, 16_000, 20_000]
/** Invented mics: one nearly flat, one with less low end and a rise of 6 dB at the top. */
const MICS: readonly { readonly name: string; readonly curve: Curve }[] = [
  {
    name: 'Invented Flat',
    curve: { frequenciesHz: FREQUENCIES_HZ, levelsDb: FREQUENCIES_HZ.map(() => 0) },
  },
  {
    name: 'Invented Bright',
    curve: { frequenciesHz: FREQUENCIES_HZ, levelsDb: [-12, -6, -4, -2, 0, 0, 0, 1, 3, 5, 6, 6, 0] },
  },
]

/** Speech falls by about 9 dB an octave above 500 Hz (Byrne and others, JASA 96, 1994). */
const voiceLevelDb = (hz: number): number => -40 - 9 * Math.log2(Math.max(hz, 500) / 500)

/** The stages of the n-th version: each a little brighter than the one before. */
export const stagesOfVersion = (n: number): ChainStages => [
  { ...defaultStages['low-cut'], on: true },
  {
    ...defaultStages.tone,
    on: true,
    settings: { bands: [{ shape: 'high-shelf', frequencyHz: 8000, gainDb: n, q: 0.7 }] },
  },
  { ...defaultStages.opto, on: true },
]

/** Fills an empty catalogue; each session has three takes, a chain version in use every fourth, and a bounce. */
export async function generateHistory(workplace: Workplace, planted: GeneratedHistory) {
  const handlers = createHandlers(workplace)
  const { catalogue } = workplace
  const random = createRandom(7)
  const { haveCurves = true, spreadDb = 0.5, otherMicFrom = Number.POSITIVE_INFINITY } = planted
  const artist = await handlers.createArtist({ name: 'Invented Artist', note: '' }, context)
  const voice = await handlers.createVoice({ artistId: artist.id, name: 'singing', note: '' }, context)
  const mics = MICS.map(({ name, curve }) => {
    const mic = catalogue.mics.insert({ name, serial: '', pattern: 'cardioid', note: '' }, workplace.now())
    const points = { frequenciesHz: [...curve.frequenciesHz], levelsDb: [...curve.levelsDb] }
    const fields = {
      name,
      source: 'invented',
      pattern: 'cardioid',
      distanceM: 1,
      note: '',
      picture: null,
    } as const
    const curveId = haveCurves
      ? catalogue.curves.insert({ ...fields, micId: mic.id, points }, workplace.now()).id
      : null
    return { id: mic.id, curve, curveId }
  })
  let chainId: number | null = null
  let versionId: number | null = null
  const sessionIds: number[] = []
  for (let at = 0; at < planted.sessions; at++) {
    const date = new Date(Date.UTC(2023, 0, 10 + 24 * at)).toISOString().slice(0, 10)
    const session = await handlers.createSession(
      { ...SESSION_FIELDS, artistId: artist.id, songTitle: `Invented Song ${1 + (at >> 1)}`, date },
      context,
    )
    sessionIds.push(session.id)
    const mic = mics[at >= otherMicFrom ? 1 : 0]!
    const day = {
      pitch: (planted.pitchSemitones ?? 0) * at + (random.normal() * spreadDb) / 4,
      airDb: (planted.airDb ?? 0) * at + random.normal() * spreadDb + (planted.brightAt === at ? 9 : 0),
      levelDb: random.normal() * spreadDb,
    }
    for (const n of [1, 2, 3]) {
      const off = () => random.normal() * spreadDb * 0.3
      const take = catalogue.takes.insert(
        newTake(`song ${1 + (at >> 1)} lead ${n}`, {
          sha256: sha256Of(`${at} ${n}`),
          path: `invented/${at}-${n}.wav`,
          importedAt: workplace.now(),
          voiceId: voice.id,
          micId: mic.id,
          curveId: mic.curveId,
          facts: {
            ...facts,
            voice: analysisOf(mic.curve, { ...day, airDb: day.airDb + off(), pitch: day.pitch + off() / 4 }),
          },
        }),
      )
      catalogue.takes.linkToSession(session.id, take.id)
    }
    if (at % 4 === 0) {
      const number = at / 4 + 1
      const version = await handlers.saveChain(
        {
          voiceId: voice.id,
          chainId,
          name: 'Invented Lead',
          stages: stagesOfVersion(number),
          note: number === 1 ? 'first try' : `a little more air, ${number}`,
        },
        context,
      )
      chainId = version.chainId
      versionId = version.id
    }
    const [lead] = catalogue.groups.listOfSession(session.id)
    await handlers.updateGroup({ id: lead!.id, changes: { chainVersionId: versionId } }, context)
    catalogue.bounces.insert(
      {
        sessionId: session.id,
        manifestPath: `/invented/song-${at}/manifest.json`,
        manifestSha256: sha256Of(`bounce ${at}`),
        stems: 3,
      },
      workplace.now(),
    )
  }
  return { artist, voice, mics, sessionIds, chainId: chainId!, handlers }
}

/** As the analysis of a take would have it, with the response of its mic. */
function analysisOf(
  mic: Curve,
  day: { readonly pitch: number; readonly airDb: number; readonly levelDb: number },
): VoiceAnalysed {
  const micDb = micLevelsDb(mic, [...THIRD_OCTAVES.map(({ midHz }) => midHz), 7000])
  const medianHz = MEDIAN_HZ * 2 ** (day.pitch / 12)
  const levelsDbfs = THIRD_OCTAVES.map(
    ({ midHz, nominalHz }, i) => voiceLevelDb(midHz) + (nominalHz >= 10_000 ? day.airDb : 0) + micDb[i]!,
  )
  return {
    outcome: 'analysed',
    activeSeconds: 40,
    fundamental: {
      p5Hz: medianHz * 0.8,
      medianHz,
      p95Hz: medianHz * 1.5,
      interquartileSemitones: 3,
      voicedSeconds: 30,
      octaveErrorPercent: 0,
    },
    spectrum: { levelsDbfs, frames: 3000, seconds: 30 },
    voiceLevelDbfs: -24 + day.levelDb,
    quietLevelDbfs: -34,
    loudLevelDbfs: -16,
    noise: null,
    sibilance: {
      events: [],
      peakHz: 7000,
      ratioDb: -2 + micDb.at(-1)!,
      upperRatioDb: 1 + micDb.at(-1)!,
      hotRatioDb: 3,
      spectrum: null,
      vowelRatioP95Db: -12,
    },
    envelopeDb: [],
    resonances: [],
    bands: { warmthDb: null, mudDb: null, boxyDb: null, nasalDb: null, harshDb: null, airDb: null },
  }
}
