// Where to listen to a take's findings, and what its check measured without finding anything wrong.

import type { Finding, Place } from '../../../app/contract/finding.ts'
import type { TakeCheck } from '../../../app/contract/take-check.ts'
import { countOf, formatLevel, formatNumber, withUnit } from '../format.ts'

/** Stretches where there are any, else moments as stretches of no length. */
export const placesOf = ({ places, atSeconds }: Finding): readonly Place[] =>
  places !== undefined && places.length > 0 ? places : atSeconds.map((at) => ({ fromS: at, toS: at }))

export interface QuietFact {
  readonly name: string
  readonly words: string
}

const seconds = (value: number): string => withUnit(formatNumber(value, 1), 's')

/** What was measured of a take, whether or not anything is wrong with it. */
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
