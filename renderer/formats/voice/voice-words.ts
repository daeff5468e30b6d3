// Formats the results of a voice analysis: notes, bands, confidence and proposed settings.

import type { ChainStage } from '../../../app/contract/chain-document.ts'
import type { VoiceAnalysed } from '../../../app/contract/voice-analysis.ts'
import { BAND_NAMES, formatRatio } from '../../../app/words/chain/stage-words.ts'
import { formatFrequency, formatGain, formatNumber, withUnit } from '../../../app/words/format.ts'

const NUMBER_AND_UNIT = /(?<=\d) (?=(?:k?Hz|dB(?:FS|TP)?|LUFS|LU|ms|s|%)(?![A-Za-z]))/g

/** A sentence from the engine with real minus signs, and no-break spaces between numbers and units. */
export const asRead = (sentence: string): string =>
  sentence.replaceAll(/(?<=^|[\s(])-(?=\d)/g, '\u2212').replaceAll(NUMBER_AND_UNIT, '\u202f')

const NOTES = ['C', 'C♯', 'D', 'D♯', 'E', 'F', 'F♯', 'G', 'G♯', 'A', 'A♯', 'B'] as const

/** The nearest note in equal temperament: 'A4' is 440 Hz (ISO 16:1975), octaves counted from C. */
export function noteOf(frequencyHz: number): string {
  const semitones = Math.round(69 + 12 * Math.log2(frequencyHz / 440))
  return `${NOTES[((semitones % 12) + 12) % 12]}${Math.floor(semitones / 12) - 1}`
}

/** '98 Hz (G2)' */
export const pitchWords = (frequencyHz: number): string =>
  `${formatFrequency(Math.round(frequencyHz))} (${noteOf(frequencyHz)})`

/** '2.5 kHz': rounded to the precision of a band, three digits below 1 kHz and two above. */
export const nearFrequency = (frequencyHz: number): string =>
  formatFrequency(Number(frequencyHz.toPrecision(frequencyHz < 1000 ? 3 : 2)))

export type BalanceName = keyof VoiceAnalysed['bands']

export const BALANCES: readonly {
  readonly name: BalanceName
  readonly title: string
  readonly of: string
}[] = [
  { name: 'warmthDb', title: 'Warmth', of: '100 to 250 Hz beside 0.63 to 2 kHz' },
  { name: 'mudDb', title: 'Mud', of: '200 to 500 Hz beside 0.63 to 2 kHz' },
  { name: 'boxyDb', title: 'Box', of: '400 to 800 Hz beside its neighbours' },
  { name: 'nasalDb', title: 'Nasal', of: '0.8 to 1.6 kHz beside 500 to 800 Hz' },
  { name: 'harshDb', title: 'Harsh', of: '2 to 5 kHz beside 0.3 to 1 kHz' },
  { name: 'airDb', title: 'Air', of: '10 to 16 kHz beside 0.3 to 1 kHz' },
]

/** 'medium confidence (45 %)'. The thresholds are not from a standard. */
export function confidenceWords(confidence: number): string {
  const word = confidence >= 0.75 ? 'high' : confidence >= 0.4 ? 'medium' : 'low'
  return `${word} confidence (${withUnit(String(Math.round(confidence * 100)), '%')})`
}

/** What a proposed stage sets, one line for each band or group of settings. */
export function settingLines(stage: ChainStage): readonly string[] {
  switch (stage.kind) {
    case 'low-cut':
      return [
        `${formatFrequency(stage.settings.frequencyHz)}, ${withUnit(String(stage.settings.slopeDbPerOctave), 'dB/oct')}`,
      ]
    case 'tone':
      return stage.settings.bands.map(
        ({ shape, frequencyHz, gainDb, q }) =>
          `${BAND_NAMES[shape]} ${formatGain(gainDb)} at ${formatFrequency(frequencyHz)}, Q\u202f${formatNumber(q, 1)}`,
      )
    case 'de-ess': {
      const { shape, frequencyHz, thresholdDb, rangeDb } = stage.settings
      return [
        `${BAND_NAMES[shape]} ${shape === 'bell' ? 'at' : 'from'} ${formatFrequency(frequencyHz)}`,
        `acts over a ratio of ${withUnit(formatNumber(thresholdDb, 0), 'dB')}, takes ${withUnit(formatNumber(rangeDb, 0), 'dB')} at most`,
      ]
    }
    case 'opto': {
      const { thresholdDbfs, ratio, kneeDb, attackMs, releaseMs } = stage.settings
      return [
        `${formatRatio(ratio)} from ${withUnit(formatNumber(thresholdDbfs, 1), 'dBFS')}, knee ${withUnit(formatNumber(kneeDb, 0), 'dB')}`,
        `attack ${withUnit(formatNumber(attackMs, 0), 'ms')}, release ${withUnit(formatNumber(releaseMs, 0), 'ms')}`,
      ]
    }
    case 'drive': {
      const { amountDb, referenceDbfs, evenPercent } = stage.settings
      return [
        `${withUnit(formatNumber(amountDb, 1), 'dB')} over ${withUnit(formatNumber(referenceDbfs, 0), 'dBFS')}, even harmonics ${withUnit(formatNumber(evenPercent, 0), '%')}`,
      ]
    }
    case 'ceiling':
      return [withUnit(formatNumber(stage.settings.ceilingDbtp, 1), 'dBTP')]
    case 'trim':
    case 'expander':
    case 'mic-correction':
      return []
  }
}
