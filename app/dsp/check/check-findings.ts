// What the check of a take has to say: each finding with its figure, its threshold, where
// it is, one sentence that says what it means, and what can be done.

import { dbFromGain } from '../maths/decibels.ts'
import type { Span } from '../maths/span.ts'
import { DC_OFFSET_LIMIT_DBFS, type Finding, placed } from '../meters/take-findings.ts'
import type { HumFamily } from './hum.ts'
import { materialFinding } from './material.ts'
import type { Phrase } from './phrases.ts'
import { LEAST_CONFIDENCE, type Polarity } from './polarity.ts'
import { LEAST_DROP_DB, type SpectralEdge } from './spectral-edge.ts'
import { SPREAD_MOST_DB, type TrackedCompression } from './tracked-compression.ts'

/** Everything that was measured. Levels are RMS from 80 Hz up, dBFS, a full-scale sine reading -3.01. */
export interface CheckEvidence {
  readonly seconds: number
  readonly floorDbfs: number | null
  readonly floorSeconds: number
  readonly voiceDbfs: number | null
  readonly pauseSeconds: number
  /** Mean of the samples over the quietest 10 % of the frames, linear. */
  readonly quietOffset: number | null
  readonly phrases: readonly Phrase[]
  readonly breaths: readonly Span[]
  /** Whether it can be one voice at all, and long enough to say. */
  readonly isOneVoice: boolean
  readonly lowAgainstVoiceDb: number | null
  readonly soundSeconds: number
  readonly clicks: readonly Span[]
  readonly pops: readonly (Span & { readonly riseDb: number })[]
  readonly hum: HumFamily | null
  readonly polarity: Polarity
  readonly edge: SpectralEdge | null
  readonly trackedCompression: TrackedCompression
  readonly oppositeChannels: boolean
}

/** Common practice: a floor closer than this under the voice is heard once the voice is levelled. */
export const FLOOR_UNDER_VOICE_LIMIT_DB = -40
/** Common practice: below this nobody finds the hum of a take. */
export const HUM_LIMIT_DBFS = -85

export function checkFindings(evidence: CheckEvidence): Finding[] {
  const always = [
    materialFinding(evidence),
    oppositeChannels(evidence),
    quietOffset(evidence),
    edge(evidence),
  ]
  const ofVoice = evidence.isOneVoice
    ? [
        noiseFloor(evidence),
        hum(evidence),
        clicks(evidence),
        pops(evidence),
        polarity(evidence),
        compressed(evidence),
      ]
    : []
  return [...always, ...ofVoice].filter((finding) => finding !== null)
}

function noiseFloor({ floorDbfs, voiceDbfs }: CheckEvidence): Finding | null {
  if (floorDbfs === null || voiceDbfs === null) return null
  const value = floorDbfs - voiceDbfs
  if (value <= FLOOR_UNDER_VOICE_LIMIT_DB) return null
  return {
    kind: 'noise-floor',
    value,
    unit: 'dB',
    threshold: FLOOR_UNDER_VOICE_LIMIT_DB,
    atSeconds: [],
    meaning: `The noise in the pauses (${floorDbfs.toFixed(1)} dBFS) lies only ${(-value).toFixed(0)} dB under the loud voice, and levelling and air will bring it up.`,
    remedy:
      'Use the expander between phrases and go easy on levelling and air; at the next session raise the mic gain or find the source of the noise.',
  }
}

function hum({ hum: family }: CheckEvidence): Finding | null {
  if (family === null) return null
  if (family.rateRatio !== 1) return wrongRate(family)
  if (family.levelDbfs <= HUM_LIMIT_DBFS) return null
  const listed = family.harmonics.map(({ harmonic }) => harmonic).join(', ')
  return {
    kind: 'hum',
    value: family.levelDbfs,
    unit: 'dBFS',
    threshold: HUM_LIMIT_DBFS,
    atSeconds: [],
    confidence: Math.min(...family.harmonics.map(({ prominenceDb }) => prominenceDb)),
    meaning: `Mains hum at ${family.fundamentalHz.toFixed(2)} Hz is in the pauses (harmonics ${listed}): a ground loop, a cable beside a power line, or an unshielded input.`,
    remedy:
      'The low-cut lowers its lowest harmonics and the expander what is left between phrases; narrow notches at the harmonics given take it out in a restoration tool. Find the loop before the next take.',
  }
}

function wrongRate({ fundamentalHz, mainsHz, rateRatio, harmonics }: HumFamily): Finding {
  return {
    kind: 'wrong-rate',
    value: fundamentalHz,
    unit: 'Hz',
    threshold: mainsHz,
    atSeconds: [],
    confidence: Math.min(...harmonics.map(({ prominenceDb }) => prominenceDb)),
    meaning: `Hum stands at ${fundamentalHz.toFixed(2)} Hz, where no mains is; if the file were played ${rateRatio.toFixed(4)} times as fast it would be ${mainsHz} Hz, so the file probably states the wrong sample rate and the voice is off in pitch and length.`,
    remedy:
      'Compare its length and pitch with another take of the line, and export it again at the right rate.',
  }
}

function clicks({ clicks: found }: CheckEvidence): Finding | null {
  if (found.length === 0) return null
  return {
    kind: 'clicks',
    value: found.length,
    unit: 'clicks',
    threshold: 1,
    ...placed(found),
    meaning:
      'There are clicks of under 3 ms that no voice makes: digital drop-outs, cuts without a fade, or sharp mouth noises.',
    remedy:
      'Listen at the places given; take those words from another take, cut and fade there, or repair them in a restoration tool.',
  }
}

function pops({ pops: found }: CheckEvidence): Finding | null {
  if (found.length === 0) return null
  return {
    kind: 'pops',
    value: found.length,
    unit: 'pops',
    threshold: 1,
    ...placed(found),
    meaning:
      'Breath has hit the capsule: thumps below 80 Hz that drown the voice for a moment, mostly from p and b.',
    remedy:
      'The low-cut at 80 to 120 Hz takes most of it; put a pop screen up or the mic off axis for the next take.',
  }
}

function polarity({ polarity: measured }: CheckEvidence): Finding | null {
  if (measured.verdict !== 'inverted' || measured.skewness === null) return null
  return {
    kind: 'inverted-polarity',
    value: -measured.skewness,
    unit: 'skewness',
    threshold: 0,
    atSeconds: [],
    confidence: measured.confidence,
    meaning:
      'The pulses of the voice point the wrong way: something in the line turned the polarity, which is not heard alone but thins it out beside a second mic.',
    remedy: `Nothing has to be done for one mic; beside another mic of the same take turn one of them. Found on ${measured.voicedSeconds.toFixed(0)} s of voice (confidence ${measured.confidence.toFixed(1)}, asked for ${LEAST_CONFIDENCE}).`,
  }
}

function compressed({ trackedCompression }: CheckEvidence): Finding | null {
  const { isLikely, levelSpreadDb, noiseRiseDb } = trackedCompression
  if (!isLikely || levelSpreadDb === null) return null
  const rise =
    noiseRiseDb === null ? '' : ` and the noise comes up by ${noiseRiseDb.toFixed(1)} dB after phrases`
  return {
    kind: 'likely-compressed',
    value: -levelSpreadDb,
    unit: 'dB',
    threshold: -SPREAD_MOST_DB,
    atSeconds: [],
    meaning: `Likely, not certain: the take was compressed while it was tracked, since its loudest moments lie only ${levelSpreadDb.toFixed(1)} dB over the usual ones${rise}.`,
    remedy: 'Ask how it was tracked; if it was compressed, set levelling lighter than usual.',
  }
}

function edge({ edge: found }: CheckEvidence): Finding | null {
  if (found === null) return null
  const { edgeHz, dropDb, fromRateHz } = found
  const shared = {
    value: edgeHz,
    unit: 'Hz',
    threshold: 0,
    atSeconds: [],
    confidence: dropDb / LEAST_DROP_DB,
  }
  if (fromRateHz !== null) {
    return {
      kind: 'converted-rate',
      ...shared,
      meaning: `Above ${(edgeHz / 1000).toFixed(1)} kHz there is nothing (a fall of ${dropDb.toFixed(0)} dB): the file was most likely converted up from ${fromRateHz} Hz, though its header says more.`,
      remedy: 'Ask for the recording as it was made; nothing above this edge can be brought back by air.',
    }
  }
  return {
    kind: 'lossy-bandwidth',
    ...shared,
    meaning: `The spectrum ends like a cliff at ${(edgeHz / 1000).toFixed(1)} kHz (${dropDb.toFixed(0)} dB within a kilohertz, nothing above), as lossy coding leaves it; microphones roll off slowly.`,
    remedy: 'Ask for the uncompressed recording; boosts of air and de-essing will bring coding noise out.',
  }
}

function oppositeChannels({ oppositeChannels: are }: CheckEvidence): Finding | null {
  if (!are) return null
  return {
    kind: 'opposite-channels',
    value: 1,
    unit: 'pair',
    threshold: 1,
    atSeconds: [],
    meaning: 'Left and right carry the same sound with opposite signs: in mono the voice disappears.',
    remedy: 'Export one channel alone as a mono take, or turn the polarity of one of them.',
  }
}

function quietOffset({ quietOffset: offset, floorDbfs }: CheckEvidence): Finding | null {
  // Without pauses the quietest frames hold bass and not an offset.
  if (offset === null || floorDbfs === null) return null
  const value = dbFromGain(Math.abs(offset))
  if (!(value > DC_OFFSET_LIMIT_DBFS)) return null
  return {
    kind: 'dc-offset',
    value,
    unit: 'dBFS',
    threshold: DC_OFFSET_LIMIT_DBFS,
    atSeconds: [],
    meaning: 'In the pauses the waveform is not centred on zero: it costs headroom and makes edits click.',
    remedy: 'Keep the low-cut stage on, which takes it out, and have the input that recorded it checked.',
  }
}
