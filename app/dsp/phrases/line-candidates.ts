// Which places of another take may be a line of the guide, and how surely.

import { pathThrough, placesOf } from './line-search.ts'
import { framesBetween, type SurveyedTake } from './surveyed-take.ts'

/** A place that may be a line. Seconds are of the other take. */
export interface Candidate {
  readonly guidePhrase: number
  readonly fromS: number
  readonly toS: number
  /** How much later than in the guide, seconds: the median along the path. */
  readonly offsetS: number
  /** Mean distance of its frames; 0 for the same sound. */
  readonly cost: number
  /** Cost over that of the best place that is not the line; near 1 where no place is. */
  readonly ratio: number
  /** The same singer, by cost alone; otherwise it counts only with others in order. */
  readonly isStrong: boolean
}

/** Limits of cost and ratio (measured on generated voices; other singers stay over the first and under the second). */
const STRONG_COST = 0.6
const STRONG_RATIO = 0.8
const WEAK_COST = 0.95
const WEAK_RATIO = 0.92
/** Cost of places that are not the line, for takes in which there is no other place. */
const USUAL_OTHER_COST = 0.95
/** Places under this cost and within this factor of the best one are all the same words. */
const SAME_WORDS_COST = 0.55
const SAME_WORDS_FACTOR = 1.3
const MOST_PLACES = 8
/** Shorter lines are searched together with their neighbours, no further apart than this. */
const LEAST_SECONDS = 0.8
const NEIGHBOUR_WITHIN_SECONDS = 1.5

/** Candidates of one phrase of the guide, best first. */
export function candidatesOf(guide: SurveyedTake, guidePhrase: number, take: SurveyedTake): Candidate[] {
  const own = guide.phrases[guidePhrase]
  const wide = withNeighbours(guide, guidePhrase)
  const line = framesBetween(guide, wide.fromS, wide.toS)
  if (take.cepstra.count < line.count / 2) return []
  const places = placesOf(line, take.cepstra, MOST_PLACES)
  const best = places[0]?.cost ?? Number.POSITIVE_INFINITY
  const isLine = (cost: number): boolean =>
    cost === best || (cost <= SAME_WORDS_COST && cost <= SAME_WORDS_FACTOR * Math.max(best, 0.2))
  const others = places.filter(({ cost }) => !isLine(cost)).map(({ cost }) => cost)
  const other = Math.min(USUAL_OTHER_COST, ...others)
  const ownFrom = Math.round(own.fromS / guide.hopSeconds) - Math.round(wide.fromS / guide.hopSeconds)
  const ownTo = Math.min(line.count, ownFrom + Math.round((own.toS - own.fromS) / guide.hopSeconds))
  return places.flatMap((place) => {
    if (!isLine(place.cost) || place.cost > WEAK_COST || place.cost / other > WEAK_RATIO) return []
    const { at, distances } = pathThrough(line, take.cepstra, place)
    const cost = mean(distances.subarray(ownFrom, ownTo))
    const ratio = cost / other
    const isStrong = cost <= STRONG_COST && ratio <= STRONG_RATIO
    if (!isStrong && (cost > WEAK_COST || ratio > WEAK_RATIO || place.cost !== best)) return []
    const offsets = at
      .subarray(ownFrom, ownTo)
      .map((j, i) => j * take.hopSeconds - wide.fromS - (ownFrom + i) * guide.hopSeconds)
      .sort()
    return [
      {
        guidePhrase,
        fromS: at[ownFrom] * take.hopSeconds,
        toS: (at[ownTo - 1] + 1) * take.hopSeconds,
        offsetS: offsets[offsets.length >> 1],
        cost,
        ratio,
        isStrong,
      },
    ]
  })
}

/**
 * Where a stretch of the take is in the guide, searched the other way round: the line of the guide of which it is a
 * part, for lines that were broken off; null where it is none.
 */
export function partOfLine(
  guide: SurveyedTake,
  isFree: (guidePhrase: number) => boolean,
  take: SurveyedTake,
  { fromS, toS }: { readonly fromS: number; readonly toS: number },
): Candidate | null {
  const line = framesBetween(take, fromS, toS)
  if (guide.cepstra.count < line.count / 2) return null
  const places = placesOf(line, guide.cepstra, MOST_PLACES)
  const best = places[0]
  if (best === undefined) return null
  const ratio = best.cost / Math.min(USUAL_OTHER_COST, places[1]?.cost ?? USUAL_OTHER_COST)
  if (best.cost > STRONG_COST || ratio > STRONG_RATIO) return null
  const placeFromS = best.from * guide.hopSeconds
  const placeToS = best.to * guide.hopSeconds
  const guidePhrase = guide.phrases.findIndex(
    (span) =>
      Math.min(span.toS, placeToS) - Math.max(span.fromS, placeFromS) >
      WITHIN_SHARE * (placeToS - placeFromS),
  )
  if (guidePhrase < 0 || !isFree(guidePhrase)) return null
  const { at } = pathThrough(line, guide.cepstra, best)
  const offsets = at.map((i, j) => fromS + j * take.hopSeconds - i * guide.hopSeconds).sort()
  return {
    guidePhrase,
    fromS,
    toS,
    offsetS: offsets[offsets.length >> 1],
    cost: best.cost,
    ratio,
    isStrong: true,
  }
}

/** A part of a line lies within it by this share. */
const WITHIN_SHARE = 0.7

function withNeighbours({ phrases }: SurveyedTake, index: number): { fromS: number; toS: number } {
  let { fromS, toS } = phrases[index]
  let before = index - 1
  let after = index + 1
  while (toS - fromS < LEAST_SECONDS) {
    const gapBefore = before >= 0 ? fromS - phrases[before].toS : Number.POSITIVE_INFINITY
    const gapAfter = after < phrases.length ? phrases[after].fromS - toS : Number.POSITIVE_INFINITY
    if (Math.min(gapBefore, gapAfter) > NEIGHBOUR_WITHIN_SECONDS) break
    if (gapBefore <= gapAfter) fromS = phrases[before--].fromS
    else toS = phrases[after++].toS
  }
  return { fromS, toS }
}

const mean = (values: Float64Array): number =>
  values.reduce((sum, x) => sum + x, 0) / Math.max(1, values.length)
