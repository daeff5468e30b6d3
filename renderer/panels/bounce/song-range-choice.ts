// The part of the song that is chosen for a bounce, a delivery or a measurement.

import type { SessionContents } from '../../../app/contract/entities.ts'
import type { SongRange } from '../../../app/contract/sections/song-range.ts'
import type { FrameRange } from '../../formats/frame-range.ts'
import { parsePlayTime } from '../../formats/play-time.ts'

/** The whole song, the loop, from one time to another, or the id of a section. */
export type RangeChoice = 'song' | 'loop' | 'times' | number

/** The fields as they are typed. */
export interface RangeChoices {
  readonly range: RangeChoice
  readonly from: string
  readonly to: string
}

export const WHOLE_SONG: RangeChoices = { range: 'song', from: '0:00', to: '0:30' }

/** Why `songRangeOf` is null. */
export const TIMES_COMPLAINT =
  'The times cannot be read: write minutes and seconds, as in 1:02.5, the later one second.'

type Sections = Pick<SessionContents, 'sections'>

/** What can be chosen, without the times. A marker without a length is no part of the song. */
export const rangeItems = (
  { sections }: Sections,
  loop: FrameRange | null,
): readonly { key: RangeChoice; name: string }[] => [
  { key: 'song', name: 'The whole song' },
  ...sections.filter(({ lengthSamples }) => lengthSamples > 0).map(({ id, name }) => ({ key: id, name })),
  ...(loop === null ? [] : [{ key: 'loop' as const, name: 'The loop' }]),
]

/** The choice that still holds: a loop may have been cleared since, and a section removed. */
export const shownRange = (range: RangeChoice, contents: Sections, loop: FrameRange | null): RangeChoice =>
  range === 'times' || rangeItems(contents, loop).some(({ key }) => key === range) ? range : 'song'

/** The part in a word or by its name, for a folder; empty for the whole song. */
export function partWord(range: RangeChoice, { sections }: Sections, loop: FrameRange | null): string {
  const shown = shownRange(range, { sections }, loop)
  if (shown === 'song') return ''
  if (shown === 'loop') return 'loop'
  return sections.find(({ id }) => id === shown)?.name ?? 'part'
}

/** The range of the choices; null where a time cannot be read. */
export function songRangeOf(
  { range, from, to }: RangeChoices,
  contents: Sections,
  loop: FrameRange | null,
  sampleRateHz: number,
): SongRange | null {
  const shown = shownRange(range, contents, loop)
  if (shown === 'loop' && loop !== null) {
    return { kind: 'frames', fromFrame: Math.round(loop.fromFrame), toFrame: Math.round(loop.toFrame) }
  }
  if (shown === 'times') {
    const [fromFrame, toFrame] = [parsePlayTime(from, sampleRateHz), parsePlayTime(to, sampleRateHz)]
    if (fromFrame === null || toFrame === null || toFrame <= fromFrame) return null
    return { kind: 'frames', fromFrame, toFrame }
  }
  return typeof shown === 'number' ? { kind: 'section', sectionId: shown } : { kind: 'song' }
}
