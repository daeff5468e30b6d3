// Fills a gap in a voiced sound from the periods before and behind it that match its surroundings best.

/** Longest period that is tried, that of 50 Hz. */
const LONGEST_SECONDS = 0.02
/** How much of the surroundings on each side has to match. */
const MATCHED_SECONDS = 0.004
/** Least normalised correlation of the surroundings with those of the copied periods. */
const LEAST_MATCH = 0.95

/** How much of the take on both sides of a gap of `gapFrames` is read. */
export const copyReach = (gapFrames: number, sampleRateHz: number): number =>
  gapFrames + Math.ceil((2 * LONGEST_SECONDS + MATCHED_SECONDS) * sampleRateHz)

/**
 * @param samples the take around the gap, copyReach on both sides
 * @param from, to the gap, indices in `samples`
 * @returns what goes into the gap, or null where no period matches well enough
 */
export function copyPeriods(
  samples: Float64Array,
  from: number,
  to: number,
  sampleRateHz: number,
): Float64Array | null {
  const before = bestShift(samples, from, to, sampleRateHz, -1)
  const behind = bestShift(samples, from, to, sampleRateHz, 1)
  if (before === null || behind === null) return null
  const count = to - from
  const filled = new Float64Array(count)
  for (let n = 0; n < count; n++) {
    const s = 0.5 - 0.5 * Math.cos((Math.PI * (n + 1)) / (count + 1))
    filled[n] = (1 - s) * samples[from + n - before] + s * samples[from + n + behind]
  }
  return filled
}

/** The shift to one side, longer than the gap, with the best match of both surroundings; null below LEAST_MATCH. */
function bestShift(
  samples: Float64Array,
  from: number,
  to: number,
  sampleRateHz: number,
  side: -1 | 1,
): number | null {
  const matched = Math.round(MATCHED_SECONDS * sampleRateHz)
  const least = to - from
  const most = least + Math.ceil(2 * LONGEST_SECONDS * sampleRateHz)
  let best = LEAST_MATCH
  let at: number | null = null
  for (let shift = Math.max(least, matched >> 1); shift <= most; shift++) {
    const offset = side * shift
    if (from - matched + offset < 0 || to + matched + offset > samples.length) break
    let product = 0
    let own = 0
    let other = 0
    for (let k = 0; k < 2 * matched; k++) {
      const n = k < matched ? from - matched + k : to + k - matched
      const source = n + offset
      // What is in the gap itself cannot be compared.
      if (source >= from && source < to) continue
      product += samples[n] * samples[source]
      own += samples[n] * samples[n]
      other += samples[source] * samples[source]
    }
    const match = product / Math.sqrt(own * other)
    if (!(match > best)) continue
    best = match
    at = shift
  }
  return at
}
