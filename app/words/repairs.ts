// What was mended in a take, and what was left alone and why.

import type { RefusedRepair, Repair } from '../contract/repairs/repair-report.ts'

const placeOf = ({ fromS, toS }: { readonly fromS: number; readonly toS: number }): string =>
  `${fromS.toFixed(3)} to ${toS.toFixed(3)} s`

const db = (value: number): string => `${value.toFixed(1)} dB`

/** One line about a repair: where, what, how much. */
export function repairWords(repair: Repair): string {
  const place = placeOf(repair)
  switch (repair.kind) {
    case 'clipped': {
      const peaks = repair.runs === 1 ? '1 clipped peak' : `${repair.runs} clipped peaks`
      return `${place}  ${peaks} raised by up to ${db(repair.raisedDb)}`
    }
    case 'clicks':
      return `${place}  click of ${repair.removedDbfs.toFixed(1)} dBFS removed`
    case 'pops':
      return `${place}  pop reduced by ${db(repair.reductionDb)} below the voice`
    case 'breaths':
      return `${place}  breath turned down by ${db(repair.reductionDb)}`
    case 'hum':
      return `whole file  hum at ${repair.fundamentalHz.toFixed(2)} Hz with harmonics ${repair.harmonics.join(', ')}: ${repair.removedDbfs.toFixed(1)} dBFS removed, ${db(repair.reductionDb)} less in the pauses${repair.phase === 'fixed' ? '; its fundamental is missing, so its phase was taken as fixed' : ''}`
  }
}

const NOT_MENDED: Readonly<Record<RefusedRepair['kind'], string>> = {
  clipped: 'Clipped peaks were',
  clicks: 'A click was',
  pops: 'A pop was',
  breaths: 'A breath was',
  hum: 'Hum was',
}
const NOT_SEARCHED: Readonly<Record<RefusedRepair['kind'], string>> = {
  clipped: 'Clipped peaks were',
  clicks: 'Clicks were',
  pops: 'Pops were',
  breaths: 'Breaths were',
  hum: 'Hum was',
}

/** Reasons that concern the whole take: nothing was searched then. */
const OF_THE_TAKE: Readonly<Partial<Record<RefusedRepair['why'], string>>> = {
  silent: 'the take is silent',
  'too-short': 'less than a second of sound is too short to judge',
  'not-one-voice':
    'the take does not sound like one voice, and what is a fault in music or noise cannot be told',
  'no-pauses': 'the take has too little pause to tell its noise from its voice',
}

const OF_THE_PLACE: Readonly<Partial<Record<RefusedRepair['why'], string>>> = {
  'too-long': 'too long to tell from its surroundings what was there; use another take of the line',
  'too-deep': 'clipped too deeply to tell how high the peaks were; use another take of the line',
  'no-surroundings': 'there is too little undamaged sound around it; use another take of the line',
  'bent-tops':
    'something filtered or converted the sound after it was clipped, so its samples do not show the limit any more; mend the file as it was recorded',
  'still-heard':
    'it goes on for longer than can be bridged, as a cut without a fade does; set the cut anew with a fade',
  'voice-too-low': 'the voice is as low as the pop, and would be taken away with it',
  'pop-unchanged': 'what lies below the voice is not what makes it loud',
  'not-mains': 'its frequency is not 50 or 60 Hz within 0.2 Hz, so it may belong to the sound',
  'wrong-rate': 'its frequency says that the file states a wrong sample rate; correct that first',
  'hum-unchanged': 'its level or its phase moves too much to be followed',
  'beside-the-end': 'it is too close to the start or the end of the file',
}

/** One sentence about what was left alone. */
export function refusalWords(refused: RefusedRepair): string {
  const ofTake = OF_THE_TAKE[refused.why]
  if (ofTake !== undefined) return `${NOT_SEARCHED[refused.kind]} not looked for: ${ofTake}.`
  const where = refused.kind === 'hum' ? '' : ` at ${placeOf(refused)}`
  return `${NOT_MENDED[refused.kind]} left alone${where}: ${OF_THE_PLACE[refused.why] ?? refused.why}.`
}
