// Starting settings: resonances that were planted beside a history, how
// much of each the proposed cut takes, and what a second look still proposes.

import { humpsOf } from '../../../../app/dsp/analysis/pitch/resonances.ts'
import { startingSettings } from '../../../../app/dsp/analysis/starting/starting-settings.ts'
import type { VoiceAnalysed } from '../../../../app/dsp/analysis/voice-analysis.ts'
import { RAP_BARITONE } from '../../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../../../app/dsp/voice/songs/seven-stairs.ts'
import { analyse } from '../../../signals/listening.ts'
import { longTake, throughBand, throughStage, VOICE_RATE_HZ } from '../../../signals/voice-takes.ts'
import { SUNG_ALTO } from '../../../signals/voices.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'
import { haveSpeech, speech } from '../../speech.ts'

const TARGET = 'Takeloft’s own target'
/** Frequency, gain and q, each small enough that the bound of 4 dB lets the whole cut through. */
const PLANTED = [
  [2700, 5, 5],
  [3200, 5, 5],
  [5000, 5, 8],
] as const
const VOICES = [
  ['rap baritone', RAP_BARITONE, SEVEN_STAIRS_VERSE],
  ['sung alto', SUNG_ALTO, PAPER_LANTERNS_HOOK],
] as const

const toneOf = (analysis: VoiceAnalysed, history: readonly VoiceAnalysed[]) =>
  startingSettings(analysis, history).find(({ stage }) => stage.kind === 'tone')?.stage

const isNear = (a: number, b: number): boolean => Math.abs(Math.log2(a / b)) < 1 / 6

/** How far a place stands out over the mean of the history, in dB; 0 where it no longer does. */
function heightNear(analysis: VoiceAnalysed, history: readonly VoiceAnalysed[], nearHz: number): number {
  const difference = analysis.envelopeDb.map(
    (levelDb, i) => levelDb - history.reduce((sum, one) => sum + one.envelopeDb[i], 0) / history.length,
  )
  const humps = humpsOf(difference, 0.3, analysis.fundamental)
  return Math.max(
    0,
    ...humps.filter(({ frequencyHz }) => isNear(frequencyHz, nearHz)).map(({ heightDb }) => heightDb),
  )
}

interface Tried {
  readonly places: Reading[]
  readonly taken: Reading[]
  readonly more: Reading[]
  readonly elsewhere: Reading[]
  readonly unasked: Reading[]
}

/** The voice without what is above a frequency, as a lower sample rate leaves it: a windowed sinc, 60 dB down within 600 Hz. */
function endedAt(samples: Float64Array, topHz: number): Float64Array {
  const reach = 200
  const taps = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => {
    const away = i - reach
    const turns = (2 * topHz) / VOICE_RATE_HZ
    const sinc = away === 0 ? turns : Math.sin(Math.PI * turns * away) / (Math.PI * away)
    const at = Math.PI * (1 + away / (reach + 1))
    return sinc * (0.42 - 0.5 * Math.cos(at) + 0.08 * Math.cos(2 * at))
  })
  return samples.map((_, n) => {
    let sum = 0
    const from = Math.max(0, n - reach)
    const to = Math.min(samples.length - 1, n + reach)
    for (let m = from; m <= to; m++) sum += samples[m] * taps[n - m + reach]
    return sum
  })
}

/** The reduction that a tenth of the singing exceeds, behind the stages that are proposed before the opto. */
function loudReductionDb(samples: Float64Array): number {
  const analysis = analyse(samples)
  let sound = samples
  for (const { stage } of startingSettings(analysis)) {
    if (stage.kind !== 'opto') {
      sound = throughStage(sound, stage).samples
      continue
    }
    const { reductionsDb } = throughStage(sound, stage)
    const activeDbfs = analysis.loudLevelDbfs - 25
    const singing = reductionsDb.filter((_, i) => {
      const stretch = sound.subarray(240 * i, 240 * (i + 1))
      return 10 * Math.log10(stretch.reduce((sum, x) => sum + x * x, 0) / stretch.length) > activeDbfs
    })
    return singing.sort((a, b) => a - b)[Math.floor(0.9 * singing.length)]
  }
  return 0
}

/** Bands of a proposed tone stage from a frequency up that cut. */
const cutsFrom = (analysis: VoiceAnalysed, fromHz: number): number => {
  const stage = toneOf(analysis, [])
  const bands = stage?.kind === 'tone' ? stage.settings.bands : []
  return bands.filter(({ frequencyHz, gainDb }) => gainDb < 0 && frequencyHz > fromHz).length
}

/** What is proposed for voices without history. */
function firstRows(): Row[] {
  const takes = VOICES.map(([name, singer, score]) => ({ name, samples: longTake(singer, score, 2, 7) }))
  // Once alone is too short for an analysis.
  const clips = haveSpeech ? speech() : new Float64Array(0)
  const twice = Float64Array.from([...clips, ...clips])
  const spoken = haveSpeech ? [...takes, { name: 'speech of alsa-utils', samples: twice }] : takes
  const rings = takes.map(({ name, samples }) => {
    const { peakHz } = analyse(samples).sibilance
    const ringing = analyse(throughBand(samples, 'bell', peakHz ?? 7000, 10, 5))
    return { where: `${name}, ${Math.round(peakHz ?? 0)} Hz`, value: cutsFrom(ringing, 4500) }
  })
  const ended = takes.flatMap(({ name, samples }) =>
    [7600, 8500].map((topHz) => ({
      where: `${name}, up to ${topHz} Hz`,
      value: cutsFrom(analyse(endedAt(samples.slice(0, 25 * VOICE_RATE_HZ), topHz)), 6000),
    })),
  )
  return [
    rowOf(
      'T2',
      'opto as proposed: reduction that a tenth of the singing exceeds',
      limitOf({ low: 3, high: 6 }, 'dB', 1, '3 to 6 dB on loud phrases: common practice'),
      spoken.map(({ name, samples }) => ({ where: name, value: loudReductionDb(samples) })),
    ),
    rowOf(
      'T2',
      'a resonance at the peak of the sibilants: static cuts beside the de-esser',
      limitOf({ high: 0 }, 'cuts', 0, 'ours: one act a problem'),
      rings,
    ),
    rowOf(
      'T2',
      'voices whose sound ends near 8 kHz: cuts near the end',
      limitOf({ high: 0 }, 'cuts', 0, 'ours: the end of the sound is no resonance'),
      ended,
    ),
  ]
}

export function proposalRows(): Row[] {
  const tried: Tried = { places: [], taken: [], more: [], elsewhere: [], unasked: [] }
  for (const [name, singer, score] of VOICES) {
    const samples = longTake(singer, score, 2, 7)
    const history = [20, 40].map((seed) => analyse(longTake(singer, score, 2, seed)))
    tried.unasked.push({ where: name, value: toneOf(analyse(samples), history) === undefined ? 0 : 1 })
    for (const [hz, gainDb, q] of PLANTED) {
      const where = `${name}, ${hz} Hz`
      const ringing = throughBand(samples, 'bell', hz, gainDb, q)
      const before = analyse(ringing)
      const stage = toneOf(before, history)
      if (stage?.kind !== 'tone') {
        tried.places.push({ where, value: Number.NaN })
        continue
      }
      const { bands } = stage.settings
      const octaves = Math.min(...bands.map(({ frequencyHz }) => Math.abs(Math.log2(frequencyHz / hz))))
      tried.places.push({ where, value: 12 * octaves })
      const after = analyse(throughStage(ringing, stage).samples)
      const left = heightNear(after, history, hz) / heightNear(before, history, hz)
      tried.taken.push({ where, value: 100 * (1 - left) })
      const again = toneOf(after, history)
      const more = again?.kind === 'tone' ? again.settings.bands : []
      tried.more.push({ where, value: more.length })
      tried.elsewhere.push({
        where,
        value: more.filter(({ frequencyHz }) => !isNear(frequencyHz, hz)).length,
      })
    }
  }
  return [
    ...firstRows(),
    rowOf(
      'T2',
      'planted resonances: place of the proposed cut, off by',
      limitOf({ high: 1 }, 'semitones', 2, 'ours: a twelfth of an octave, two points of the envelope'),
      tried.places,
    ),
    rowOf(
      'T2',
      'what the cut takes of their height',
      limitOf({ low: 50 }, '%', 0, `${TARGET}: 50 to 80 %; all of it where few harmonics show the place`),
      tried.taken,
    ),
    rowOf(
      'T2',
      'cuts that a second look still proposes',
      limitOf({ high: 1 }, 'cuts', 0, TARGET),
      tried.more,
    ),
    rowOf('T2', 'of them at new places', limitOf({ high: 0 }, 'cuts', 0, TARGET), tried.elsewhere),
    rowOf(
      'T2',
      'voices as they usually are that got a cut',
      limitOf({ high: 0 }, 'voices', 0, 'ours: what is usual needs none'),
      tried.unasked,
    ),
  ]
}
