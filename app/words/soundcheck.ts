// The soundcheck in sentences: one for each measure outside its usual range, with the figure, the spread
// of the earlier takes and, except for bands, the likely cause.

import type { SoundcheckMeasure, SoundcheckResult } from '../contract/voice-analysis.ts'
import { countOf, hertz } from './numbers.ts'

type NotCompared = Extract<SoundcheckResult, { outcome: 'not-enough-history' }>

/** One paragraph: what is needed, what there is, what to do. */
export function notEnoughHistory({ earlierTakes, neededTakes, remarks }: NotCompared): string {
  const has =
    earlierTakes === 0 ? 'there are none' : `there ${earlierTakes === 1 ? 'is' : 'are'} ${earlierTakes}`
  return [
    `A soundcheck needs at least ${countOf(neededTakes, 'earlier take')} of this voice with 10 s of sounding voice each, and ${has}; name the voice of its earlier takes in Intake, or come back when there are more.`,
    ...remarks,
  ].join(' ')
}

/**
 * Empty where everything is as usual.
 * @param measures bands in order of frequency; neighbours that moved the same way become one sentence
 */
export function soundcheckSentences(measures: readonly SoundcheckMeasure[]): string[] {
  const bands = measures.filter(({ name }) => name === 'band')
  const others = measures.filter(({ name, isUnusual }) => name !== 'band' && isUnusual)
  return [...bandSentences(bands), ...others.map(wholeTakeSentence)]
}

function bandSentences(bands: readonly SoundcheckMeasure[]): string[] {
  const runs: SoundcheckMeasure[][] = []
  let previous: SoundcheckMeasure | undefined
  for (const band of bands) {
    const joins =
      previous?.isUnusual === true &&
      band.isUnusual &&
      Math.sign(deviation(previous)) === Math.sign(deviation(band))
    if (joins) runs[runs.length - 1].push(band)
    else if (band.isUnusual) runs.push([band])
    previous = band
  }
  return runs.map((run) => {
    const worst = run.reduce((a, b) => (Math.abs(deviation(b)) > Math.abs(deviation(a)) ? b : a))
    const first = hertz(run[0].frequencyHz ?? 0)
    const last = hertz(run[run.length - 1].frequencyHz ?? 0)
    const where = run.length === 1 ? `The third octave at ${first}` : `The range from ${first} to ${last}`
    const most = run.length === 1 ? '' : 'up to '
    return `${where} is ${most}${amount(worst)} than usual ${spread(worst)}.`
  })
}

function wholeTakeSentence(one: SoundcheckMeasure): string {
  const more = deviation(one) > 0
  const than = `${amount(one)} than usual ${spread(one)}`
  switch (one.name) {
    case 'level':
      return `The voice is ${than}: the gain was set differently, or the singer was ${more ? 'louder or closer' : 'softer or farther away'}.`
    case 'noise-floor':
      return `The noise floor relative to the voice is ${than}: ${more ? 'check for a fan, an open door, more gain, or a singer farther away' : 'a quieter room or signal path, or a gate at the input'}.`
    case 'distance':
      return `The low band (100 to 250 Hz) relative to 0.6 to 2 kHz is ${than}: the singer stood ${more ? 'closer to' : 'farther from'} the mic${more ? '' : ', or a low-cut was on'}.`
    case 'sibilance':
      return `The sibilants are ${than}: ${more ? 'the mic is more on axis, brighter or closer' : 'the mic is off axis, behind a thicker screen, or the take was de-essed'}.`
    case 'band':
      return bandSentences([one])[0]
  }
}

const deviation = ({ today, usual }: SoundcheckMeasure): number => today - usual.mean

const amount = (one: SoundcheckMeasure): string =>
  `${Math.abs(deviation(one)).toFixed(1)} dB ${deviation(one) > 0 ? 'higher' : 'lower'}`

const spread = ({ usual }: SoundcheckMeasure): string =>
  `(standard deviation ${usual.spread.toFixed(1)} dB, ${countOf(usual.takes, 'earlier take')})`
