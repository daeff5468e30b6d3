// Where sections lie: their lines in the row of sections, the next free name, and the ones beside a frame.

import type { Section } from '../../../app/contract/sections/section.ts'
import type { FrameRange } from '../frame-range.ts'

type Place = Pick<Section, 'startSamples' | 'lengthSamples'>

/** More lines would push the layers out of sight; what overlaps further shares the last line. */
export const MOST_LINES = 4

/**
 * The line of each section, from 0, so that those that overlap lie below each other. A marker takes the room of
 * its name, given in frames.
 * @param sections in the order of their starts, longer ones first
 */
export function linesOf(sections: readonly Place[], markerFrames: number): readonly number[] {
  const ends: number[] = []
  return sections.map(({ startSamples, lengthSamples }) => {
    const end = startSamples + (lengthSamples === 0 ? markerFrames : lengthSamples)
    const free = ends.findIndex((last) => last <= startSamples)
    const line = free === -1 ? Math.min(ends.length, MOST_LINES - 1) : free
    ends[line] = Math.max(ends[line] ?? end, end)
    return line
  })
}

/** 'Section 3' for the third, or the next number that no section has. */
export function freeSectionName(sections: readonly Pick<Section, 'name'>[], word = 'Section'): string {
  for (let number = sections.length + 1; ; number++) {
    const name = `${word} ${number}`
    if (sections.every((one) => one.name.toLowerCase() !== name.toLowerCase())) return name
  }
}

/**
 * The start of the next section, or of the one before; null where there is none. Going back from within the first
 * moments of a section leads to the one before, as with the tracks of a player.
 */
export function startBeside(
  sections: readonly Place[],
  frame: number,
  step: 1 | -1,
  graceFrames: number,
): number | null {
  const starts = sections.map(({ startSamples }) => startSamples)
  return step === 1
    ? (starts.find((start) => start > frame) ?? null)
    : (starts.findLast((start) => start < frame - graceFrames) ?? null)
}

/** The innermost section with a length at a frame: the one that starts last. */
export const sectionAt = <S extends Place>(sections: readonly S[], frame: number): S | null =>
  sections.findLast(
    ({ startSamples, lengthSamples }) => startSamples <= frame && frame < startSamples + lengthSamples,
  ) ?? null

/** The frames of a section. */
export const rangeOf = ({ startSamples, lengthSamples }: Place): FrameRange => ({
  fromFrame: startSamples,
  toFrame: startSamples + lengthSamples,
})

/** The markers of files that are no sections yet: none of that name begins there. */
export const freshMarkers = <M extends Pick<Section, 'name' | 'startSamples'>>(
  markers: readonly M[],
  present: readonly Pick<Section, 'name' | 'startSamples'>[],
): readonly M[] =>
  markers.filter(
    (marker) =>
      !present.some(({ name, startSamples }) => name === marker.name && startSamples === marker.startSamples),
  )
