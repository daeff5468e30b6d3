// Finds the other takes that contain the same performance as a new one: by their prints, and then to
// the sample by the sound of a phrase that they share.

import type { AudioSource } from '../../audio/audio-source.ts'
import {
  createPrintComparer,
  type ExactLag,
  exactLag,
  SAME_PERFORMANCE_RATIO,
  type SharedSound,
} from '../../dsp/check/same-performance.ts'
import { isConvertible } from '../../dsp/conversion/rate-conversion.ts'
import type { Span } from '../../dsp/maths/span.ts'
import { type Finding, placed } from '../../dsp/meters/finding.ts'
import { BLOCK_FRAMES } from '../../dsp/stage.ts'
import { createTakeSource } from '../mixes/take-source.ts'
import type { KnownTake } from './known-take.ts'

/** Length of the sample-exact comparison: about 2.7 s at 48 kHz; shorter takes are padded with silence. */
const COMPARED_FRAMES = 2 ** 17

/**
 * One finding for each other take and lag at which something is shared. The sound of a take is opened only
 * where its print shares something.
 * @param phrases of the new take
 * @param others takes that may contain them (print-shelf.ts)
 * @param longestBits length in bits of the longest print compared, at the rate of the take's own print
 * @param onProgress receives the fraction done; throws to stop
 */
export async function findSamePerformance(
  take: Pick<KnownTake, 'print' | 'open'>,
  phrases: readonly Span[],
  others: readonly KnownTake[],
  longestBits: number,
  onProgress: (fraction: number) => void,
): Promise<Finding[]> {
  const comparer = createPrintComparer(take.print, phrases, longestBits)
  const findings: Finding[] = []
  for (const [i, other] of others.entries()) {
    onProgress(i / others.length)
    for (const shared of comparer.compare(other.print)) {
      const exact = await exactLagOf(take, other, shared)
      if (exact !== null) findings.push(findingOf(other.name, shared, phrases.length, exact))
    }
  }
  return findings
}

interface FoundLag {
  readonly lagSeconds: number
  readonly lagFrames: number
  readonly ratio: number
  readonly isInverted: boolean
}

/** null where the sound does not confirm what the prints suggest, or cannot be read at the take's rate. */
async function exactLagOf(
  take: Pick<KnownTake, 'open'>,
  other: KnownTake,
  { phrases, lagSeconds }: SharedSound,
): Promise<FoundLag | null> {
  const first = await take.open()
  const second = await other.open()
  try {
    if (first === null || second === null) return null
    const rateHz = first.format.sampleRateHz
    if (second.format.sampleRateHz !== rateHz && !isConvertible(second.format.sampleRateHz, rateHz))
      return null
    const longest = phrases.reduce((most, one) => (one.toS - one.fromS > most.toS - most.fromS ? one : most))
    const middle = Math.round(((longest.fromS + longest.toS) / 2) * rateHz)
    const from = Math.max(0, middle - COMPARED_FRAMES / 2)
    const coarse = Math.round(lagSeconds * rateHz)
    const one = monoOf(first, rateHz, from)
    const two = monoOf(second, rateHz, from + coarse)
    const exact: ExactLag = exactLag(one, two)
    if (exact.ratio <= SAME_PERFORMANCE_RATIO) return null
    const lagFrames = coarse + exact.lagFrames
    return { lagSeconds: lagFrames / rateHz, lagFrames, ratio: exact.ratio, isInverted: exact.isInverted }
  } finally {
    first?.close()
    second?.close()
  }
}

/** Mean of the channels at the given rate; silence outside the take. */
function monoOf(audio: AudioSource, rateHz: number, from: number): Float64Array {
  const source = createTakeSource(audio, rateHz)
  const mono = new Float64Array(COMPARED_FRAMES)
  const block = Array.from({ length: source.channels }, () => new Float64Array(BLOCK_FRAMES))
  for (let at = 0; at < COMPARED_FRAMES; at += BLOCK_FRAMES) {
    source.read(from + at, BLOCK_FRAMES, block)
    for (const channel of block) {
      for (let n = 0; n < BLOCK_FRAMES; n++) mono[at + n] += channel[n] / source.channels
    }
  }
  return mono
}

function findingOf(otherTake: string, shared: SharedSound, phrases: number, exact: FoundLag): Finding {
  return {
    kind: 'same-performance',
    value: exact.ratio,
    unit: 'peak over median',
    threshold: SAME_PERFORMANCE_RATIO,
    ...placed(shared.phrases),
    otherTake,
    sharedPhrases: shared.phrases.length,
    phrases,
    lagSeconds: exact.lagSeconds,
    lagFrames: exact.lagFrames,
    isInverted: exact.isInverted,
  }
}
