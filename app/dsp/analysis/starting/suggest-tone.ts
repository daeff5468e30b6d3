// Suggests tone settings: gentle cuts where the voice rings or differs from its own earlier takes; at
// most four cuts and one shelf.

import { dbFromPower } from '../../maths/decibels.ts'
import type { Band, DeEssSettings } from '../../stages/settings.ts'
import { type Hump, humpsOf } from '../pitch/resonances.ts'
import type { BandLevels } from '../spectra/long-term-spectrum.ts'
import { THIRD_OCTAVES } from '../spectra/third-octaves.ts'
import type { VoiceBands } from '../spectra/voice-bands.ts'
import { usualBalanceOf } from '../usual-balances.ts'
import { FEWEST_EARLIER_TAKES, type UsualSpread } from '../usual-spread.ts'
import type { VoiceAnalysed } from '../voice-analysis.ts'
import { clamp, confidenceFrom, type Evidence, type ProposalOf } from './proposal.ts'

/** A bell also lowers the flanks that a hump is measured against, so this removes 50 to 80 % of the hump. */
const SHARE_OF_HUMP = 0.78
/** A broad balance is corrected most of the way, never fully. */
const SHARE_OF_BALANCE = 0.7
/** Prominence of an ordinary formant, for voices without history (generated voices reach 7 dB; ours). */
const USUAL_PROMINENCE_DB = 5
const MIN_EXCESS_DB = 2.5
const DEEPEST_CUT_DB = 4
const HIGHEST_BOOST_DB = 2
/** Cuts closer than this would act on one resonance. */
const ONE_RESONANCE_OCTAVES = 1 / 3
const MAX_CUTS = 4
const MAX_DB_IN_ALL = 10
const NARROWEST_Q = 6
const WIDEST_Q = 1
const MIN_DB = 0.5
/** There is no boost where the noise is closer to the voice than this. */
const MIN_SNR_DB = 20
const AIR_SHELF_HZ = 10_000
/**
 * 10 to 16 kHz against 315 Hz to 1 kHz in the voiced frames. All of speech, with its fricatives, has -17 dB
 * (Byrne et al. 1994, Table II); voiced frames have less, and under this there is little (our choice).
 */
const LITTLE_AIR_DB = -26
const AIR_SHARE = 0.1
/** Air without history is a taste more than a finding. */
const AIR_CONFIDENCE = 0.6
/** A fall of a third octave to the next that no voice has (our choice). */
const EDGE_FALL_DB = 18
const EDGE_FROM_HZ = 2500
const HELD_OCTAVES = 1 / 2

/** Balances that a broad bell can correct; the widths are common practice. */
const BALANCES = [
  { name: 'mudDb', frequencyHz: 315, q: 1 },
  { name: 'boxyDb', frequencyHz: 560, q: 1.4 },
  { name: 'nasalDb', frequencyHz: 1120, q: 1.4 },
  { name: 'harshDb', frequencyHz: 3150, q: 1 },
] as const satisfies readonly { name: keyof VoiceBands; frequencyHz: number; q: number }[]

interface Step {
  readonly band: Band
  readonly evidence: Evidence
  readonly confidence: number
}

/**
 * null if nothing stands out.
 * @param deEss settings that are proposed for the same problem: where they act, nothing is cut for good
 */
export function suggestTone(
  analysis: VoiceAnalysed,
  history: readonly VoiceAnalysed[],
  deEss: DeEssSettings | null,
): ProposalOf<'tone'> | null {
  const narrow = resonanceCuts(analysis, history).filter(({ band }) => !isHeldBy(deEss, band.frequencyHz))
  // A hump raises the level of its whole band, so a band with a narrow cut gets no broad cut as well.
  const broad = balanceCuts(analysis, history).filter(
    ({ band }) => !narrow.some((one) => Math.abs(Math.log2(one.band.frequencyHz / band.frequencyHz)) < 1),
  )
  const cuts = [...narrow, ...broad].slice(0, MAX_CUTS)
  const air = history.length < FEWEST_EARLIER_TAKES ? littleAir(analysis) : airShelf(analysis, history)
  const steps: Step[] = []
  let total = 0
  for (const step of [...cuts, ...air]) {
    const room = MAX_DB_IN_ALL - total
    if (Math.abs(step.band.gainDb) > room) continue
    total += Math.abs(step.band.gainDb)
    steps.push(step)
  }
  if (steps.length === 0) return null
  return {
    stage: { kind: 'tone', settings: { bands: steps.map(({ band }) => band) } },
    evidence: steps.map(({ evidence }) => evidence),
    confidence: Math.min(...steps.map(({ confidence }) => confidence)),
  }
}

/** A place where the voice rings too much, and what a cut there rests on. */
interface Ring {
  readonly frequencyHz: number
  /** How much of its height is too much. */
  readonly excessDb: number
  readonly q: number
  readonly confidence: number
  evidenceOf(band: Band): Evidence
}

/** Cuts where the voice rings more than in its earlier takes or, without those, more than a formant would. */
function resonanceCuts(analysis: VoiceAnalysed, history: readonly VoiceAnalysed[]): Step[] {
  const { voicedSeconds } = analysis.fundamental
  const rings: readonly Ring[] =
    history.length >= FEWEST_EARLIER_TAKES
      ? newHumps(analysis, history).map(({ frequencyHz, heightDb, widthHz }) => ({
          frequencyHz,
          excessDb: heightDb,
          q: frequencyHz / widthHz,
          confidence: confidenceFrom(voicedSeconds),
          evidenceOf: (band) => ({
            kind: 'new-resonance',
            frequencyHz: band.frequencyHz,
            excessDb: heightDb,
            earlierTakes: history.length,
            gainDb: band.gainDb,
          }),
        }))
      : analysis.resonances
          .map((one) => ({ ...one, excessDb: one.prominenceDb - USUAL_PROMINENCE_DB }))
          .filter(({ excessDb }) => excessDb >= MIN_EXCESS_DB)
          .map(({ frequencyHz, prominenceDb, excessDb, q, persistencePercent }) => ({
            frequencyHz,
            excessDb,
            q,
            confidence: confidenceFrom(voicedSeconds, persistencePercent / 100),
            evidenceOf: (band) => ({
              kind: 'resonance',
              frequencyHz: band.frequencyHz,
              prominenceDb,
              persistencePercent,
              gainDb: band.gainDb,
            }),
          }))
  return mergedRings(rings).map(({ frequencyHz, excessDb, q, confidence, evidenceOf }) => {
    const band = cutBell(frequencyHz, excessDb, q)
    return { band, evidence: evidenceOf(band), confidence }
  })
}

/** Strongest first; no two within a third of an octave, since they are parts of one resonance. */
function mergedRings(rings: readonly Ring[]): Ring[] {
  const merged: Ring[] = []
  for (let ring of [...rings].sort((a, b) => b.excessDb - a.excessDb)) {
    // A merged ring lies between its parts, where it may be near another one.
    for (let near = nearestOf(merged, ring); near !== -1; near = nearestOf(merged, ring)) {
      ring = spanOf(merged[near], ring)
      merged.splice(near, 1)
    }
    merged.push(ring)
  }
  return merged.sort((a, b) => b.excessDb - a.excessDb)
}

const nearestOf = (rings: readonly Ring[], { frequencyHz }: Ring): number =>
  rings.findIndex((one) => Math.abs(Math.log2(one.frequencyHz / frequencyHz)) < ONE_RESONANCE_OCTAVES)

/** One ring as wide as both, with the height and the evidence of the stronger. */
function spanOf(a: Ring, b: Ring): Ring {
  const stronger = a.excessDb >= b.excessDb ? a : b
  // Half-height edges around the geometric middle: f/q is the width, and their product is f squared.
  const edgesOf = ({ frequencyHz, q }: Ring): [number, number] => {
    const half = 1 / (2 * q)
    const ratio = half + Math.sqrt(half * half + 1)
    return [frequencyHz / ratio, frequencyHz * ratio]
  }
  const lowHz = Math.min(edgesOf(a)[0], edgesOf(b)[0])
  const highHz = Math.max(edgesOf(a)[1], edgesOf(b)[1])
  const frequencyHz = Math.sqrt(lowHz * highHz)
  return { ...stronger, frequencyHz, q: frequencyHz / (highHz - lowHz) }
}

function newHumps({ envelopeDb, fundamental }: VoiceAnalysed, history: readonly VoiceAnalysed[]): Hump[] {
  const points = Math.min(envelopeDb.length, ...history.map((one) => one.envelopeDb.length))
  const differenceDb = envelopeDb.slice(0, points).map((levelDb, i) => {
    const usualDb = history.reduce((sum, one) => sum + one.envelopeDb[i], 0) / history.length
    return levelDb - usualDb
  })
  return humpsOf(differenceDb, MIN_EXCESS_DB, fundamental)
}

function cutBell(frequencyHz: number, excessDb: number, q: number): Band {
  return {
    shape: 'bell',
    // Three significant digits are finer than anyone can hear, and fit the input field.
    frequencyHz: Number(frequencyHz.toPrecision(3)),
    gainDb: -rounded(clamp(SHARE_OF_HUMP * excessDb, 0, DEEPEST_CUT_DB)),
    q: rounded(clamp(q, WIDEST_Q, NARROWEST_Q)),
  }
}

function balanceCuts({ bands, fundamental }: VoiceAnalysed, history: readonly VoiceAnalysed[]): Step[] {
  const steps: Step[] = []
  for (const { name, frequencyHz, q } of BALANCES) {
    const compared = againstHistory(bands, history, name)
    if (compared === null || compared.excessDb <= compared.usual.limit) continue
    const gainDb = -rounded(clamp(SHARE_OF_BALANCE * compared.excessDb, 0, DEEPEST_CUT_DB))
    steps.push({
      band: { shape: 'bell', frequencyHz, gainDb, q },
      evidence: balanceEvidence(name, compared, frequencyHz, gainDb),
      confidence: confidenceFrom(fundamental.voicedSeconds),
    })
  }
  return steps
}

function airShelf(analysis: VoiceAnalysed, history: readonly VoiceAnalysed[]): Step[] {
  const compared = againstHistory(analysis.bands, history, 'airDb')
  if (compared === null || Math.abs(compared.excessDb) <= compared.usual.limit) return []
  const isDull = compared.excessDb < 0
  if (isDull && leastSnrDb(analysis, AIR_SHELF_HZ) < MIN_SNR_DB) return []
  const gainDb = rounded(clamp(-SHARE_OF_BALANCE * compared.excessDb, -DEEPEST_CUT_DB, HIGHEST_BOOST_DB))
  if (Math.abs(gainDb) < MIN_DB) return []
  return [
    {
      band: { shape: 'high-shelf', frequencyHz: AIR_SHELF_HZ, gainDb, q: Math.SQRT1_2 },
      evidence: balanceEvidence('airDb', compared, AIR_SHELF_HZ, gainDb),
      confidence: confidenceFrom(analysis.fundamental.voicedSeconds),
    },
  ]
}

/** A small shelf for a voice with little air, where nothing of it would be noise or beyond the edge of the material. */
function littleAir(analysis: VoiceAnalysed): Step[] {
  const { airDb } = analysis.bands
  if (airDb === null || airDb > LITTLE_AIR_DB || isBandLimited(analysis)) return []
  const snrDb = snrFromDb(analysis, AIR_SHELF_HZ)
  if (snrDb < MIN_SNR_DB) return []
  const gainDb = rounded(clamp(AIR_SHARE * (LITTLE_AIR_DB - airDb) + 1, 1, HIGHEST_BOOST_DB))
  return [
    {
      band: { shape: 'high-shelf', frequencyHz: AIR_SHELF_HZ, gainDb, q: Math.SQRT1_2 },
      evidence: { kind: 'little-air', underBodyDb: -airDb, snrDb, frequencyHz: AIR_SHELF_HZ, gainDb },
      confidence: confidenceFrom(analysis.fundamental.voicedSeconds, AIR_CONFIDENCE),
    },
  ]
}

/** Whether the spectrum of voice or sibilants ends within or below the air, as that of lossy coding does. */
function isBandLimited({ spectrum, sibilance }: VoiceAnalysed): boolean {
  const levels = [
    spectrum.levelsDbfs,
    ...(sibilance.spectrum === null ? [] : [sibilance.spectrum.levelsDbfs]),
  ]
  return levels.some((levelsDbfs) =>
    THIRD_OCTAVES.some(({ nominalHz }, i) => {
      const [below, here] = [levelsDbfs[i - 1] ?? null, levelsDbfs[i]]
      if (nominalHz < EDGE_FROM_HZ || below === null) return false
      return here === null || below - here > EDGE_FALL_DB
    }),
  )
}

/** Whether the de-esser acts at a frequency: from a shelf up, or half an octave around a bell. */
function isHeldBy(deEss: DeEssSettings | null, frequencyHz: number): boolean {
  if (deEss === null) return false
  const octaves = Math.log2(frequencyHz / deEss.frequencyHz)
  return octaves > -HELD_OCTAVES && (deEss.shape === 'high-shelf' || octaves < HELD_OCTAVES)
}

interface Compared {
  readonly usual: UsualSpread
  readonly excessDb: number
}

const balanceEvidence = (
  band: keyof VoiceBands,
  { usual, excessDb }: Compared,
  frequencyHz: number,
  gainDb: number,
): Evidence => ({
  kind: 'balance',
  band,
  excessDb,
  spreadDb: usual.spread,
  earlierTakes: usual.takes,
  frequencyHz,
  gainDb,
})

function againstHistory(
  bands: VoiceBands,
  history: readonly VoiceAnalysed[],
  name: keyof VoiceBands,
): Compared | null {
  const today = bands[name]
  const usual = usualBalanceOf(history, name)
  return today === null || usual === null ? null : { usual, excessDb: today - usual.mean }
}

/** Smallest distance from noise to voice in the bands from a frequency up; 0 if the noise is not known. */
function leastSnrDb({ spectrum, noise }: VoiceAnalysed, fromHz: number): number {
  if (noise === null) return 0
  let least = Number.POSITIVE_INFINITY
  for (const [i, { nominalHz }] of THIRD_OCTAVES.entries()) {
    const voice = spectrum.levelsDbfs[i]
    const quiet = noise.levelsDbfs[i]
    if (nominalHz >= fromHz && voice !== null && quiet !== null) least = Math.min(least, voice - quiet)
  }
  return least
}

/** Distance from noise to voice over all bands from a frequency up; 0 if the noise is not known. */
function snrFromDb({ spectrum, noise }: VoiceAnalysed, fromHz: number): number {
  if (noise === null) return 0
  const powerOf = (levelsDbfs: BandLevels): number =>
    THIRD_OCTAVES.reduce(
      (sum, { nominalHz }, i) => sum + (nominalHz >= fromHz ? 10 ** ((levelsDbfs[i] ?? -200) / 10) : 0),
      0,
    )
  return dbFromPower(powerOf(spectrum.levelsDbfs) / powerOf(noise.levelsDbfs))
}

const rounded = (value: number): number => Math.round(value * 10) / 10
