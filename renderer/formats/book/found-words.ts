// One line for each result of a search over everything.

import type { FoundThing } from '../../../app/contract/book/found-thing.ts'
import { formatDate, formatMoment } from '../../../app/words/format.ts'

/** In the order in which they are shown. */
export const FOUND_KINDS: Readonly<Record<FoundThing['kind'], string>> = {
  session: 'Sessions',
  voice: 'Voices',
  'chain-version': 'Chain versions',
  bounce: 'Bounces',
  mic: 'Mics',
  take: 'Takes',
}

/** What it is, and where it belongs. */
export function foundWords(thing: FoundThing): { readonly name: string; readonly where: string } {
  switch (thing.kind) {
    case 'session':
      return { name: `${thing.songTitle}, ${formatDate(thing.date)}`, where: thing.artistName }
    case 'voice':
      return { name: thing.name, where: thing.artistName }
    case 'chain-version':
      return {
        name: `${thing.chainName}, version ${thing.number}`,
        where: `${thing.artistName}, ${thing.voiceName}`,
      }
    case 'bounce':
      return { name: `${thing.songTitle}, ${formatMoment(thing.createdAt)}`, where: thing.manifestPath }
    case 'mic':
      return { name: thing.name, where: '' }
    case 'take': {
      const { artistName, songTitle, sessionDate, micName } = thing
      const date = sessionDate === null ? '' : formatDate(sessionDate)
      return {
        name: thing.name,
        where: [artistName, songTitle, date, micName].filter((one) => one !== null && one !== '').join(', '),
      }
    }
  }
}
