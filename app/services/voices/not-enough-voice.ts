// The failure for a take that does not contain enough voice to analyse.

import type { Take } from '../../contract/entities.ts'
import { Failure } from '../../contract/failure.ts'
import type { VoiceAnalysis } from '../../contract/voice-analysis.ts'

type NotEnough = Extract<VoiceAnalysis, { outcome: 'not-enough-material' }>

/** `not-enough-material`, with what there is, what is needed and what to do. */
export function notEnoughVoice({ id, name }: Pick<Take, 'id' | 'name'>, analysis: NotEnough): Failure {
  return new Failure('not-enough-material', `${name}: ${sentenceOf(analysis)}`, {
    takeId: id,
    activeSeconds: analysis.activeSeconds,
  })
}

function sentenceOf({ why, takeSeconds, activeSeconds, voicedSeconds, neededSeconds }: NotEnough): string {
  const seconds = (value: number): string => `${value.toFixed(1)} s`
  switch (why) {
    case 'silent':
      return `The take is silent: ${seconds(takeSeconds)} long, without any voice. Check which file was imported, or record it again.`
    case 'too-short':
      return `The take has ${seconds(activeSeconds)} of sounding voice, and at least ${neededSeconds} s are needed for an analysis. Use a longer take.`
    case 'unpitched':
      return `Only ${seconds(voicedSeconds)} of the ${seconds(activeSeconds)} that sound have the pitch of a single voice, so this looks like music or noise. Use a take of one voice without backing.`
    case 'unclear':
      return 'No stretch of voice is long and clear enough to measure. Use a take of one voice without backing.'
  }
}
