// The options by which a verb takes a part of the song: a section, or from one time to another.

import { type Command, InvalidArgumentError } from 'commander'
import { Failure } from '../../contract/failure.ts'
import type { SongRange } from '../../contract/sections/song-range.ts'
import type { Workplace } from '../../services/workplace.ts'

/** As commander reads them. */
export interface RangeOptions {
  readonly section?: string
  readonly from?: number
  readonly to?: number
}

/** Adds `--section`, `--from` and `--to`. */
export const withRangeOptions = (command: Command): Command =>
  command
    .option('--section <name>', 'only this section of the song, by its name or number')
    .option('--from <seconds>', 'only from this session time; with --to', seconds)
    .option('--to <seconds>', 'only up to this session time; with --from', seconds)

/**
 * What the options ask for.
 * @throws Failure `invalid-input` for options that exclude or need one another, and for a name that two sections have;
 *   `not-found` for a section that is not in the session
 */
export function rangeOf(
  { catalogue }: Workplace,
  sessionId: number,
  { section, from, to }: RangeOptions,
): SongRange {
  if (section !== undefined) {
    if (from !== undefined || to !== undefined) {
      throw new Failure('invalid-input', 'Give --section, or --from and --to, not both.')
    }
    return { kind: 'section', sectionId: sectionOf(catalogue, sessionId, section) }
  }
  if (from === undefined && to === undefined) return { kind: 'song' }
  if (from === undefined || to === undefined || from >= to) {
    throw new Failure('invalid-input', 'A part of the song needs --from and a later --to, in seconds.')
  }
  const { sampleRateHz } = catalogue.sessions.get(sessionId)
  return {
    kind: 'frames',
    fromFrame: Math.round(from * sampleRateHz),
    toFrame: Math.round(to * sampleRateHz),
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
