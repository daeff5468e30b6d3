// Ranges of a take that can be chosen by name: its phrases, and the sections of the song that it lies in. Ranges are in
// seconds of the take; the session has them shifted by where the take lies.

import type { Take } from '../../../app/contract/entities.ts'
import type { Section } from '../../../app/contract/sections/section.ts'
import { formatDuration } from '../../../app/words/format.ts'
import type { FrameRange } from '../frame-range.ts'

/** A stretch of a take with the name that it is shown by. */
export interface TakeRange {
  readonly name: string
  readonly fromSeconds: number
  readonly toSeconds: number
}

/** What is measured in its session, a take or a whole group: its own seconds and frames of the session. */
export interface TakePlace {
  readonly sampleRateHz: number
  /** Session frame of the first frame that is measured; 0 for a take that is not placed. */
  readonly offsetFrames: number
  /** Session frame of the take's first frame, where a group is measured; otherwise it is offsetFrames. */
  readonly takeFrame?: number
}

/** Session frame that a playback of a take by itself counts from; 0 for all else, which counts from the session's. */
const countedFrom = ({ offsetFrames, takeFrame = offsetFrames }: TakePlace, isTake: boolean): number =>
  isTake ? takeFrame : 0

/** Seconds of what is measured at a frame of a playback. @param isTake whether a take is played by itself */
export const measuredSeconds = (place: TakePlace, frame: number, isTake: boolean): number =>
  (frame + countedFrom(place, isTake) - place.offsetFrames) / place.sampleRateHz

/** The frame of a playback at seconds of what is measured. */
export const frameOfMeasured = (place: TakePlace, seconds: number, isTake: boolean): number =>
  Math.round(seconds * place.sampleRateHz) + place.offsetFrames - countedFrom(place, isTake)

export const sessionSeconds = ({ sampleRateHz, offsetFrames }: TakePlace, takeSeconds: number): number =>
  takeSeconds + offsetFrames / sampleRateHz

/** Frames of the session. */
export const framesOf = ({ sampleRateHz, offsetFrames }: TakePlace, range: TakeRange): FrameRange => ({
  fromFrame: offsetFrames + Math.round(range.fromSeconds * sampleRateHz),
  toFrame: offsetFrames + Math.round(range.toSeconds * sampleRateHz),
})

/** As in '0:12.3 to 0:15.0', in session time. */
export const spanWords = (place: TakePlace, { fromSeconds, toSeconds }: Omit<TakeRange, 'name'>): string =>
  `${formatDuration(sessionSeconds(place, fromSeconds))} to ${formatDuration(sessionSeconds(place, toSeconds))}`

/** The phrases that the take's check has found; none in takes that were imported before takes were checked. */
export const phrasesOf = (take: Pick<Take, 'facts'>): TakeRange[] =>
  (take.facts.check?.phrases ?? []).map(({ fromS, toS }, index) => ({
    name: `Phrase ${index + 1}`,
    fromSeconds: fromS,
    toSeconds: toS,
  }))

/** The same ranges in what begins earlier by so many frames. */
export const movedRanges = (
  ranges: readonly TakeRange[],
  frames: number,
  sampleRateHz: number,
): TakeRange[] =>
  ranges.map(({ name, fromSeconds, toSeconds }) => ({
    name,
    fromSeconds: fromSeconds + frames / sampleRateHz,
    toSeconds: toSeconds + frames / sampleRateHz,
  }))

/** Sections with a length that the take or group reaches into, cut at its ends. */
export const sectionsOfTake = (
  sections: readonly Pick<Section, 'name' | 'startSamples' | 'lengthSamples'>[],
  { sampleRateHz, offsetFrames }: TakePlace,
  takeSeconds: number,
): TakeRange[] =>
  sections.flatMap(({ name, startSamples, lengthSamples }) => {
    const fromSeconds = Math.max(0, (startSamples - offsetFrames) / sampleRateHz)
    const toSeconds = Math.min(takeSeconds, (startSamples + lengthSamples - offsetFrames) / sampleRateHz)
    return lengthSamples > 0 && toSeconds > fromSeconds ? [{ name, fromSeconds, toSeconds }] : []
  })

/** The range before or after a moment, by where they begin; null at either end. */
export function rangeBeside(ranges: readonly TakeRange[], seconds: number, step: 1 | -1): TakeRange | null {
  const slack = 1e-6
  const beside =
    step === 1
      ? ranges.filter(({ fromSeconds }) => fromSeconds > seconds + slack)
      : ranges.filter(({ fromSeconds }) => fromSeconds < seconds - slack)
  if (beside.length === 0) return null
  const chosen = step === 1 ? Math.min : Math.max
  const at = beside.reduce((best, { fromSeconds }) => chosen(best, fromSeconds), beside[0].fromSeconds)
  return beside.find(({ fromSeconds }) => fromSeconds === at) ?? null
}
