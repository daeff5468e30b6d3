// Finds sibilant events in a stream of frames by their band levels, and the edges of each event: where the
// level from 4 to 11 kHz comes within 18 dB of its maximum in the event.

import { dbFromPower } from '../../maths/decibels.ts'

/** Power ratios, 4 to 11 over 0.2 to 4 kHz, that open and close an event, and its lowest centroid (our choice). */
const OPEN_RATIO = 10 ** 0.3
const CLOSE_RATIO = 1
const MIN_CENTROID_HZ = 4500
/** A shorter event is a burst; a longer one is not a consonant. */
const MIN_SECONDS = 0.03
const MAX_SECONDS = 0.4
const EDGE_RATIO = 10 ** -1.8
/** An /s/ after a vowel starts quieter than the vowel; below this ratio there is only the vowel. */
const VOWEL_RATIO = 10 ** -1.6
/** Frames before the opening that are searched for the start. */
const FRAMES_BEFORE = 8
const MAX_FRAMES = 128

/** One sibilant, before it is ranked. */
export interface FoundSibilant {
  readonly startSeconds: number
  readonly endSeconds: number
  readonly peakHz: number
  /** RMS level of 4 to 11 kHz over the event. */
  readonly levelDbfs: number
  /** Level of 4 to 11 kHz over 0.2 to 4 kHz in the event. */
  readonly ratioDb: number
  readonly frames: number
  /** Mean square per bin over the event. */
  readonly powers: Float64Array
}

interface SibilantFinder {
  /**
   * Adds values averaged over three frames.
   * @param above mean square of 4 to 11 kHz
   * @param below mean square of 0.2 to 4 kHz
   * @param powers spectrum of the middle frame alone
   */
  add(seconds: number, above: number, below: number, centroidHz: number, powers: Float64Array): void
  finish(): void
}

/**
 * Frames are added in order.
 * @param found called with each sibilant when it ends
 */
export function createSibilantFinder(
  binHz: number,
  bins: number,
  found: (sibilant: FoundSibilant) => void,
): SibilantFinder {
  const seconds = new Float64Array(FRAMES_BEFORE + MAX_FRAMES)
  const above = new Float64Array(FRAMES_BEFORE + MAX_FRAMES)
  const below = new Float64Array(FRAMES_BEFORE + MAX_FRAMES)
  const sums = new Float64Array(bins)
  /** Number of frames in the buffers; the first `before` of them precede the opening of the event. */
  let held = 0
  let before = 0
  let isOpen = false
  let spectra = 0

  function close(): void {
    isOpen = false
    let greatest = 0
    let aboveSum = 0
    let belowSum = 0
    for (let i = before; i < held; i++) {
      if (above[i] > greatest) greatest = above[i]
      aboveSum += above[i]
      belowSum += below[i]
    }
    const edge = greatest * EDGE_RATIO
    let first = held - 1
    while (first > before) if (above[--first] === greatest) break
    while (first > 0 && above[first - 1] >= edge && above[first - 1] >= below[first - 1] * VOWEL_RATIO)
      first--
    let last = first
    while (last + 1 < held && above[last + 1] >= edge) last++
    const startSeconds = first > 0 ? crossing(first - 1, first, edge) : seconds[first]
    const endSeconds = last + 1 < held ? crossing(last + 1, last, edge) : seconds[last]
    const length = endSeconds - startSeconds
    if (length >= MIN_SECONDS && length <= MAX_SECONDS && aboveSum >= OPEN_RATIO * belowSum) {
      const frames = held - before
      found({
        startSeconds,
        endSeconds,
        peakHz: peakOf(sums, binHz),
        levelDbfs: dbFromPower(aboveSum / frames),
        ratioDb: dbFromPower(aboveSum / belowSum),
        frames: spectra,
        powers: sums.map((sum) => sum / spectra),
      })
    }
    sums.fill(0)
    spectra = 0
    held = 0
    before = 0
  }

  /** Time between two frames where the level crosses the edge; the midpoint if VOWEL_RATIO set the limit. */
  function crossing(outside: number, inside: number, edge: number): number {
    if (above[outside] >= edge) return (seconds[outside] + seconds[inside]) / 2
    const share = Math.log(edge / above[outside]) / Math.log(above[inside] / above[outside])
    return seconds[outside] + (seconds[inside] - seconds[outside]) * (share > 0 && share < 1 ? share : 0.5)
  }

  return {
    add(atSeconds, aboveFrame, belowFrame, centroidHz, powers) {
      if (!isOpen && held === FRAMES_BEFORE) {
        seconds.copyWithin(0, 1, held)
        above.copyWithin(0, 1, held)
        below.copyWithin(0, 1, held)
        held--
      }
      seconds[held] = atSeconds
      above[held] = aboveFrame
      below[held] = belowFrame
      held++
      const closes = aboveFrame < CLOSE_RATIO * belowFrame || held === FRAMES_BEFORE + MAX_FRAMES
      if (isOpen && closes) close()
      else if (!isOpen && aboveFrame > OPEN_RATIO * belowFrame && centroidHz > MIN_CENTROID_HZ) {
        isOpen = true
        before = held - 1
      }
      if (!isOpen) return
      for (let k = 0; k < bins; k++) sums[k] += powers[k]
      spectra++
    },
    finish() {
      if (isOpen) close()
    },
  }
}

const PEAK_FROM_HZ = 3000
const PEAK_TO_HZ = 12_000
/** The uneven spectrum of noise is smoothed over twice this width before its peak is searched. */
const PEAK_HALF_WIDTH_HZ = 500

function peakOf(powers: Float64Array, binHz: number): number {
  const reach = Math.max(1, Math.round(PEAK_HALF_WIDTH_HZ / binHz))
  const last = Math.min(powers.length - 1 - reach, Math.floor(PEAK_TO_HZ / binHz))
  let best = 0
  let bestBin = Math.ceil(PEAK_FROM_HZ / binHz)
  for (let k = bestBin; k <= last; k++) {
    let sum = 0
    for (let i = -reach; i <= reach; i++) sum += powers[k + i] * (reach + 1 - Math.abs(i))
    if (sum > best) {
      best = sum
      bestBin = k
    }
  }
  return bestBin * binHz
}
