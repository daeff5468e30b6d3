// Which phrase of a take is which of the guide: candidates are chosen in the order of the guide with skips, by dynamic
// programming; what is left over is a repeated, moved or extra line. Where the evidence does not suffice, nothing is said.

import { median } from '../maths/median.ts'
import type { Span } from '../maths/span.ts'
import { type Candidate, candidatesOf, partOfLine } from './line-candidates.ts'
import { quietestBetween, type SurveyedTake } from './surveyed-take.ts'

/** One phrase of the take that is one of the guide; indices into their phrases. */
export interface LineMatch {
  readonly phrase: number
  readonly guidePhrase: number
  /** How much later than in the guide, to about 20 ms. */
  readonly offsetS: number
  /** 0 to 1. */
  readonly confidence: number
  /** Whether another phrase was chosen for this line in order; this one is offered beside it. */
  readonly isSpare: boolean
}

export interface MatchedTake {
  /** The take's phrases, cut and joined as the guide's are where both show the same lines. */
  readonly phrases: readonly Span[]
  /** In order of the guide; of a line that was sung twice the later phrase first. */
  readonly matches: readonly LineMatch[]
}

/** Phrases shorter than this are not called extra, and not searched as parts of lines. */
export const LEAST_PHRASE_SECONDS = 0.3
/** Places may overlap by this much, since their ends are only known to some frames. */
const OVERLAP_SECONDS = 0.15
const LEAST_GAIN_COST = 1.05
/** A jump in time between neighbouring lines costs so much per second, up to the most. */
const JUMP_COST_PER_SECOND = 0.05
const MOST_JUMP_COST = 0.2
const USED_SHARE = 0.3
/** Lines known by order alone count where this share of the guide's is found, and within this time of the others. */
const LEAST_CHAIN_SHARE = 0.5
const LEAST_CHAIN = 3
const CHAIN_WITHIN_SECONDS = 1
const SNAP_SECONDS = 0.12
const SURE_RATIO = 0.45
const RATIO_SPAN = 0.7

/** Yields the share of lines that were searched, which is where the time goes. */
export function* matchLines(guide: SurveyedTake, take: SurveyedTake): Generator<number, MatchedTake> {
  const candidates: Candidate[] = []
  for (let g = 0; g < guide.phrases.length; g++) {
    candidates.push(...candidatesOf(guide, g, take))
    yield (g + 1) / guide.phrases.length
  }
  const chain = sureOf(bestChain(candidates), guide.phrases.length)
  const used: { place: Candidate; isSpare: boolean }[] = chain.map((place) => ({ place, isSpare: false }))
  const isFree = (span: Span): boolean => used.every(({ place }) => shared(place, span) <= USED_SHARE)
  const isFound = (guidePhrase: number): boolean =>
    used.some(({ place }) => place.guidePhrase === guidePhrase)
  for (const place of candidates.filter(({ isStrong }) => isStrong).sort((a, b) => a.cost - b.cost)) {
    if (isFree(place)) used.push({ place, isSpare: isFound(place.guidePhrase) })
  }
  for (const span of take.phrases) {
    if (span.toS - span.fromS < LEAST_PHRASE_SECONDS || !isFree(span)) continue
    const part = partOfLine(guide, (g) => !isFound(g), take, span)
    if (part !== null) used.push({ place: part, isSpare: false })
  }
  const phrases = recut(
    take,
    used.map(({ place }) => place),
  )
  const matches = used.flatMap(({ place, isSpare }): LineMatch[] => {
    const phrase = bestOverlap(phrases, place)
    if (phrase < 0) return []
    const { guidePhrase, offsetS, ratio } = place
    const confidence = Math.max(0, Math.min(1, 1 - (ratio - SURE_RATIO) / RATIO_SPAN))
    return [{ phrase, guidePhrase, offsetS, confidence, isSpare }]
  })
  matches.sort((a, b) => a.guidePhrase - b.guidePhrase || b.phrase - a.phrase)
  return {
    phrases,
    matches: matches.filter((match, i) => matches.findIndex(({ phrase }) => phrase === match.phrase) === i),
  }
}

/** The chain of candidates in the order of guide and take with the greatest gain. */
function bestChain(candidates: readonly Candidate[]): Candidate[] {
  const gains = new Float64Array(candidates.length)
  const before = new Int32Array(candidates.length).fill(-1)
  let last = -1
  for (const [c, candidate] of candidates.entries()) {
    let best = 0
    for (let b = 0; b < c; b++) {
      const other = candidates[b]
      if (other.guidePhrase >= candidate.guidePhrase || other.toS > candidate.fromS + OVERLAP_SECONDS)
        continue
      const jump = Math.abs(other.offsetS - candidate.offsetS)
      const gain = gains[b] - Math.min(MOST_JUMP_COST, JUMP_COST_PER_SECOND * jump)
      if (gain <= best) continue
      best = gain
      before[c] = b
    }
    gains[c] = best + LEAST_GAIN_COST - candidate.cost
    if (last < 0 || gains[c] > gains[last]) last = c
  }
  const chain: Candidate[] = []
  for (let c = last; c >= 0; c = before[c]) chain.unshift(candidates[c])
  return chain
}

/** Candidates that cost alone does not prove stay only in a long chain, near its own offset. */
function sureOf(chain: readonly Candidate[], lines: number): Candidate[] {
  if (chain.length === 0) return []
  const middle = median(chain.map(({ offsetS }) => offsetS))
  const isLong = chain.length >= Math.max(LEAST_CHAIN, LEAST_CHAIN_SHARE * lines)
  return chain.filter(
    ({ isStrong, offsetS }) => isStrong || (isLong && Math.abs(offsetS - middle) <= CHAIN_WITHIN_SECONDS),
  )
}

/** The phrases of the take, split where they hold two lines, joined where one line was found in pieces. */
function recut(take: SurveyedTake, places: readonly Span[]): Span[] {
  const inOrder = [...places].sort((a, b) => a.fromS - b.fromS)
  const split = take.phrases.flatMap((span): Span[] => {
    const inside = inOrder.filter(
      (place) =>
        shareOf(place, span) > 0.5 ||
        Math.min(place.toS, span.toS) - Math.max(place.fromS, span.fromS) >= LEAST_PHRASE_SECONDS,
    )
    const cuts = inside.slice(1).map((next, i) => {
      const ends = [inside[i].toS, next.fromS].sort((a, b) => a - b)
      return quietestBetween(
        take,
        Math.max(span.fromS, ends[0] - SNAP_SECONDS),
        Math.min(span.toS, ends[1] + SNAP_SECONDS),
      )
    })
    const edges = [span.fromS, ...cuts, span.toS]
    return edges.slice(1).map((toS, i) => ({ fromS: edges[i], toS }))
  })
  const joined: { fromS: number; toS: number; line: number }[] = []
  for (const span of split) {
    const line = inOrder.findIndex((place) => shareOf(span, place) > 0.5)
    const last = joined.at(-1)
    if (last !== undefined && line >= 0 && last.line === line) last.toS = span.toS
    else joined.push({ ...span, line })
  }
  return joined.map(({ fromS, toS }) => ({ fromS, toS }))
}

function bestOverlap(phrases: readonly Span[], place: Span): number {
  let best = -1
  let most = 0.5
  for (const [i, span] of phrases.entries()) {
    const share = shared(span, place)
    if (share > most) {
      most = share
      best = i
    }
  }
  return best
}

/** Length of what two spans share, as a share of the first; and of the shorter one. */
const shareOf = (a: Span, b: Span): number =>
  (Math.min(a.toS, b.toS) - Math.max(a.fromS, b.fromS)) / Math.max(1e-9, a.toS - a.fromS)
const shared = (a: Span, b: Span): number => Math.max(shareOf(a, b), shareOf(b, a))
