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

/** A take in its session: seconds of the take and frames of the session. */
export interface TakePlace {
  readonly sampleRateHz: number
  /** Session frame of the take's first frame; 0 for a take that is not placed. */
  readonly offsetFrames: number
}

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

/** Sections with a length that the take reaches into, cut at its ends. */
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
