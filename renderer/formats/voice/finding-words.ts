// Places where a take's findings can be heard, and measured facts of a take in words.

import type { Finding, Place } from '../../../app/contract/finding.ts'
import type { TakeCheck } from '../../../app/contract/take-check.ts'
import { formatLevel, formatNumber, withUnit } from '../../../app/words/format.ts'
import { countOf } from '../../../app/words/numbers.ts'

/** The places of a finding; if it has only moments, each becomes a place of zero length. */
export const placesOf = ({ places, atSeconds }: Finding): readonly Place[] =>
  places !== undefined && places.length > 0 ? places : atSeconds.map((at) => ({ fromS: at, toS: at }))

export interface QuietFact {
  readonly name: string
  readonly words: string
}

const seconds = (value: number): string => withUnit(formatNumber(value, 1), 's')

/** Measurements of a take that are shown whether or not anything is wrong with it. */
export function quietFacts(check: TakeCheck): readonly QuietFact[] {
  return [phraseFact(check), floorFact(check), polarityFact(check)]
}

/** Phrases of at least this many seconds are needed to analyse a voice. */
export const ENOUGH_S = 10

/** Total seconds of phrases; 0 if they are unknown or the take is not a single voice. */
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
  if (floorDbfs === null) return { name, words: 'not measured: no pause long enough' }
  const under =
    voiceDbfs === null
      ? ''
      : `, ${withUnit(formatNumber(voiceDbfs - floorDbfs, 0), 'dB')} under the loud voice`
  return {
    name,
    words: `${formatLevel(floorDbfs, 'dBFS')}${under}, measured over ${seconds(floorSeconds)} of pauses`,
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
