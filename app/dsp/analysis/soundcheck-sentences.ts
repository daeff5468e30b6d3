// The soundcheck in words: one sentence for what left its usual spread, with the figure,
// the spread, and what it may be.

import { hertz } from './starting/proposal.ts'
import type { UsualSpread } from './usual-spread.ts'

export interface SoundcheckMeasure {
  readonly name: 'band' | 'level' | 'noise-floor' | 'distance' | 'sibilance'
  /** Nominal frequency of a third octave, for bands. */
  readonly frequencyHz: number | null
  /** dB: bands beside the mean of 315 Hz to 3.15 kHz, level in dBFS, noise floor beside the voice, and so on. */
  readonly today: number
  readonly usual: UsualSpread
  readonly isUnusual: boolean
}

/** @param bands in order of frequency; neighbours that moved the same way become one sentence */
export function bandSentences(bands: readonly SoundcheckMeasure[]): string[] {
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
    return `${where} is ${most}${amount(worst)} than usual ${spreadWords(worst)}.`
  })
}

export function balanceSentence(one: SoundcheckMeasure): string {
  const more = deviation(one) > 0
  const spread = spreadWords(one)
  switch (one.name) {
    case 'level':
      return `The voice is ${amount(one)} than usual ${spread}: the gain was set differently, or the singer was ${more ? 'louder or closer' : 'softer or farther away'}.`
    case 'noise-floor':
      return `The noise floor beside the voice is ${amount(one)} than usual ${spread}: ${more ? 'look for a fan, an open door or more gain, or a singer farther away' : 'a quieter room or line, or a gate on the way in'}.`
    case 'distance':
      return `The low band (100 to 250 Hz) is ${amount(one)} beside 0.6 to 2 kHz than usual ${spread}: the singer stood ${more ? 'closer to' : 'farther from'} the mic${more ? '' : ', or a low-cut was on'}.`
    case 'sibilance':
      return `The sibilants are ${amount(one)} than usual ${spread}: ${more ? 'the mic is more on axis, brighter or closer' : 'the mic is off axis, behind a thicker screen, or the take was de-essed'}.`
    default:
      return bandSentences([one])[0]
  }
}

function deviation({ today, usual }: SoundcheckMeasure): number {
  return today - usual.mean
}

function amount(one: SoundcheckMeasure): string {
  return `${Math.abs(deviation(one)).toFixed(1)} dB ${deviation(one) > 0 ? 'higher' : 'lower'}`
}

function spreadWords({ usual }: SoundcheckMeasure): string {
  return `(usual spread ${usual.spread.toFixed(1)} dB, ${usual.takes} earlier takes)`
}
