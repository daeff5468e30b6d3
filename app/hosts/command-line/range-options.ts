// The options by which a verb takes a part of the song: a section, or from one time to another.

import { type Command, InvalidArgumentError } from 'commander'
import { Failure } from '../../contract/failure.ts'
import type { SongRange } from '../../contract/sections/song-range.ts'
import { MAX_FRAMES, MAX_OFFSET_FRAMES } from '../../contract/text/limits.ts'
import type { Workplace } from '../../services/workplace.ts'

/** As commander reads them. */
export interface RangeOptions {
  readonly section?: string
  readonly from?: number
  readonly to?: number
}

/** Adds `--section`, `--from` and `--to`. @param mayBeOpen whether one of the times may be left out */
export const withRangeOptions = (command: Command, mayBeOpen = false): Command => {
  const other = (name: string, end: string): string =>
    mayBeOpen ? `; the ${end} of the song if left out` : `; with --${name}`
  return command
    .option('--section <name>', 'only this section of the song, by its name or number')
    .option('--from <seconds>', `only from this session time${other('to', 'start')}`, seconds)
    .option('--to <seconds>', `only up to this session time${other('from', 'end')}`, seconds)
}

/**
 * What the options ask for.
 * @param mayBeOpen as withRangeOptions; a time that is left out is then beyond every song
 * @throws Failure `invalid-input` for options that exclude or need one another, and for a name that two sections have;
 *   `not-found` for a section that is not in the session
 */
export function rangeOf(
  { catalogue }: Workplace,
  sessionId: number,
  { section, from, to }: RangeOptions,
  mayBeOpen = false,
): SongRange {
  if (section !== undefined) {
    if (from !== undefined || to !== undefined) {
      throw new Failure('invalid-input', 'Give --section, or --from and --to, not both.')
    }
    return { kind: 'section', sectionId: sectionOf(catalogue, sessionId, section) }
  }
  if (from === undefined && to === undefined) return { kind: 'song' }
  const isOpen = from === undefined || to === undefined
  if (isOpen ? !mayBeOpen : from >= to) {
    throw new Failure('invalid-input', 'A part of the song needs --from and a later --to, in seconds.')
  }
  const { sampleRateHz } = catalogue.sessions.get(sessionId)
  return {
    kind: 'frames',
    fromFrame: from === undefined ? -MAX_OFFSET_FRAMES : Math.round(from * sampleRateHz),
    toFrame: to === undefined ? MAX_FRAMES : Math.round(to * sampleRateHz),
  }
}

function sectionOf({ sections }: Workplace['catalogue'], sessionId: number, text: string): number {
  const all = sections.listOfSession(sessionId)
  const named = all.filter(({ name }) => name.toLowerCase() === text.toLowerCase())
  if (named.length === 1) return named[0].id
  const list = all.map(({ id, name }) => `${id} (${name})`).join(', ')
  if (named.length > 1) {
    throw new Failure('invalid-input', `Several sections are called ${text}; give its number: ${list}.`)
  }
  const numbered = all.find(({ id }) => String(id) === text)
  if (numbered !== undefined) return numbered.id
  const which = all.length === 0 ? 'it has none' : `its sections are ${list}`
  throw new Failure('not-found', `The session has no section ${text}; ${which}.`, { section: text })
}

function seconds(text: string): number {
  const value = text.trim() === '' ? Number.NaN : Number(text)
  // A day is more than any song.
  if (!Number.isFinite(value) || Math.abs(value) > 86_400) {
    throw new InvalidArgumentError('a time is a number of seconds, as in 62.5')
  }
  return value
}
