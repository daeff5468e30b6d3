// A take's findings and quiet facts as they are read: names, figures beside their limits,
// what is a hint and not a fact, and where to listen.

import type { TakeCheck } from '../../../app/contract/take-check.ts'
import type { Finding } from '../../../app/contract/take-facts.ts'
import { countOf, formatLevel, formatNumber, withUnit } from '../format.ts'

type Stretch = { readonly fromS: number; readonly toS: number }

/** 'over-full-scale' as it is read. */
export function findingName(kind: string): string {
  const words = kind.replaceAll('-', ' ').replace(/^dc\b/, 'DC')
  return words.charAt(0).toUpperCase() + words.slice(1)
}

/** What is concluded and not measured: to be asked about, not acted on. */
const HINTS: readonly string[] = ['likely-compressed', 'converted-rate', 'lossy-bandwidth', 'wrong-rate']

export const isHint = ({ kind }: Pick<Finding, 'kind'>): boolean => HINTS.includes(kind)

/** Counts are whole; a unit of one is said as it stands. */
const COUNTED: readonly string[] = ['runs', 'clicks', 'pops', 'pair']

function figure(value: number, unit: string): string {
  if (COUNTED.includes(unit)) {
    return unit === 'pair' ? countOf(value, 'pair') : countOf(value, unit.replace(/s$/, ''))
  }
  if (unit === 'Hz') return withUnit(formatNumber(value, value < 100 ? 2 : 0), unit)
  return withUnit(formatNumber(value, 1), unit)
}

/** '3 pops, noted from 1 up', '−52.0 dBFS, limit −60.0 dBFS'. */
export function findingFigure({ kind, value, unit, threshold }: Finding): string {
  const measured = figure(value, unit)
  if (COUNTED.includes(unit)) return `${measured}, noted from ${threshold} up`
  if (kind === 'inverted-polarity') return `skewness ${formatNumber(-value, 2)}, upright above 0`
  if (kind === 'same-performance') {
    return `correlation peak ${formatNumber(value, 0)} times its median, noted from ${threshold} up`
  }
  if (kind === 'noise-floor')
    return `${figure(-value, unit)} under the loud voice, noted below ${figure(-threshold, unit)}`
  // An edge has no limit of its own: its fall is in the sentence.
  if (kind === 'converted-rate' || kind === 'lossy-bandwidth') return `edge at ${measured}`
  if (kind === 'wrong-rate') return `${measured}, mains ${figure(threshold, unit)}`
  return `${measured}, limit ${figure(threshold, unit)}`
}

/** Stretches where there are any, else moments as stretches of no length. */
export const placesOf = ({ places, atSeconds }: Finding): readonly Stretch[] =>
  places !== undefined && places.length > 0 ? places : atSeconds.map((at) => ({ fromS: at, toS: at }))

export interface QuietFact {
  readonly name: string
  readonly words: string
}

const seconds = (value: number): string => withUnit(formatNumber(value, 1), 's')

/** What is known of a take without being wrong with it. */
export function quietFacts(check: TakeCheck): readonly QuietFact[] {
  return [phraseFact(check), floorFact(check), polarityFact(check)]
}

/** So much has to sound before a voice is judged. */
export const ENOUGH_S = 10

/** Seconds of phrases; 0 where they are not known or not one voice's. */
export const sungSeconds = (check: TakeCheck | undefined): number =>
  check?.isOneVoice ? check.phrases.reduce((sum, { fromS, toS }) => sum + toS - fromS, 0) : 0

function phraseFact(check: TakeCheck): QuietFact {
  const { phrases, breaths, isOneVoice } = check
  const name = 'Phrases'
  if (!isOneVoice) return { name, words: 'not judged: not one voice, or too short' }
  const air = breaths.length === 0 ? '' : `, ${countOf(breaths.length, 'breath')}`
  return { name, words: `${phrases.length}, ${seconds(sungSeconds(check))} in all${air}` }
}

function floorFact({ floorDbfs, floorSeconds, voiceDbfs }: TakeCheck): QuietFact {
  const name = 'Noise floor'
  if (floorDbfs === null) return { name, words: 'could not be read: no pause long enough' }
  const under =
    voiceDbfs === null
      ? ''
      : `, ${withUnit(formatNumber(voiceDbfs - floorDbfs, 0), 'dB')} under the loud voice`
  return {
    name,
    words: `${formatLevel(floorDbfs, 'dBFS')}${under}, read from ${seconds(floorSeconds)}`,
  }
}

function polarityFact({ polarity }: TakeCheck): QuietFact {
  const { verdict, confidence, voicedSeconds } = polarity
  const name = 'Polarity'
  const read = `${seconds(voicedSeconds)} of voice`
  if (verdict === 'undecided') return { name, words: `undecided from ${read}` }
  return {
    name,
    words: `${verdict === 'positive' ? 'as expected' : 'inverted'}, confidence ${formatNumber(confidence, 1)} from ${read}`,
  }
}
