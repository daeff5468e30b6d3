// Frequency response curves, as data sheets and measurements give them, and the operations
// on them: interpolation, fractional-octave smoothing, normalisation and subtraction. All of
// them work in dB over the logarithm of frequency.

/** Ascending frequencies, more than 0, and one level for each. */
export interface Curve {
  readonly frequenciesHz: readonly number[]
  readonly levelsDb: readonly number[]
}

/** Where a curve's level is taken to be 0 dB: its mean over this range. */
const REFERENCE_RANGE_HZ = [300, 3000] as const

/** Frequencies from `fromHz` up, this many to the octave, none above `toHz`. */
export function octaveGridHz(fromHz: number, toHz: number, pointsPerOctave: number): number[] {
  const last = Math.floor(pointsPerOctave * Math.log2(toHz / fromHz) + 1e-9)
  return Array.from({ length: last + 1 }, (_, i) => fromHz * 2 ** (i / pointsPerOctave))
}

/**
 * The curve at other frequencies, by a cubic that never overshoots between two points
 * (Fritsch and Butland, SIAM J. Sci. Stat. Comput. 5(2), 1984, from memory; the form
 * known as PCHIP). Outside its points the curve keeps the level of its end.
 */
export function resampleCurve(curve: Curve, frequenciesHz: readonly number[]): Curve {
  const x = curve.frequenciesHz.map(Math.log)
  const y = curve.levelsDb
  const slopes = monotoneSlopes(x, y)
  const last = x.length - 1
  let segment = 0
  const levelsDb = frequenciesHz.map((frequencyHz) => {
    const at = Math.log(frequencyHz)
    if (at <= x[0]) return y[0]
    if (at >= x[last]) return y[last]
    if (at < x[segment]) segment = 0
    while (at > x[segment + 1]) segment++
    const width = x[segment + 1] - x[segment]
    const t = (at - x[segment]) / width
    const s = 1 - t
    return (
      s * s * ((1 + 2 * t) * y[segment] + t * width * slopes[segment]) +
      t * t * ((1 + 2 * s) * y[segment + 1] - s * width * slopes[segment + 1])
    )
  })
  return { frequenciesHz, levelsDb }
}

/**
 * Each level becomes the mean over a window of `widthOctaves` around it. Toward the
 * ends the window narrows, so that it never reaches beyond the curve.
 */
export function smoothCurve(curve: Curve, widthOctaves: (frequencyHz: number) => number): Curve {
  const { frequenciesHz } = curve
  const lowestHz = frequenciesHz[0]
  const highestHz = frequenciesHz[frequenciesHz.length - 1]
  const meanDb = meanReader(curve)
  const levelsDb = frequenciesHz.map((frequencyHz, i) => {
    const halfOctaves = Math.min(
      widthOctaves(frequencyHz) / 2,
      Math.log2(frequencyHz / lowestHz),
      Math.log2(highestHz / frequencyHz),
    )
    if (halfOctaves < 1e-9) return curve.levelsDb[i]
    return meanDb(frequencyHz * 2 ** -halfOctaves, frequencyHz * 2 ** halfOctaves)
  })
  return { frequenciesHz, levelsDb }
}

/**
 * The curve shifted so that its mean from 300 to 3000 Hz is 0 dB; for a curve with less
 * than a third of an octave there, the mean over all of the curve is used.
 */
export function normaliseCurve(curve: Curve): Curve {
  const { frequenciesHz, levelsDb } = curve
  const lowestHz = frequenciesHz[0]
  const highestHz = frequenciesHz[frequenciesHz.length - 1]
  const fromHz = Math.max(REFERENCE_RANGE_HZ[0], lowestHz)
  const toHz = Math.min(REFERENCE_RANGE_HZ[1], highestHz)
  const meanDb = meanReader(curve)
  const referenceDb = toHz >= fromHz * 2 ** (1 / 3) ? meanDb(fromHz, toHz) : meanDb(lowestHz, highestHz)
  return { frequenciesHz, levelsDb: levelsDb.map((levelDb) => levelDb - referenceDb) }
}

/**
 * `minuend - subtrahend` at 24 points to the octave over the range where both have
 * data, both its ends included; empty when there is no such range.
 */
export function subtractCurves(minuend: Curve, subtrahend: Curve): Curve {
  const fromHz = Math.max(minuend.frequenciesHz[0], subtrahend.frequenciesHz[0])
  const toHz = Math.min(
    minuend.frequenciesHz[minuend.frequenciesHz.length - 1],
    subtrahend.frequenciesHz[subtrahend.frequenciesHz.length - 1],
  )
  if (!(toHz > fromHz)) return { frequenciesHz: [], levelsDb: [] }
  const frequenciesHz = octaveGridHz(fromHz, toHz, 24)
  if (frequenciesHz[frequenciesHz.length - 1] < toHz) frequenciesHz.push(toHz)
  const above = resampleCurve(minuend, frequenciesHz).levelsDb
  const below = resampleCurve(subtrahend, frequenciesHz).levelsDb
  return { frequenciesHz, levelsDb: above.map((levelDb, i) => levelDb - below[i]) }
}

/** Gives the mean of a curve over a range inside of it, linear in log f between its points. */
function meanReader({ frequenciesHz, levelsDb }: Curve): (fromHz: number, toHz: number) => number {
  const x = frequenciesHz.map(Math.log)
  const areas = [0]
  for (let i = 1; i < x.length; i++) {
    areas.push(areas[i - 1] + ((x[i] - x[i - 1]) * (levelsDb[i] + levelsDb[i - 1])) / 2)
  }
  const areaUpTo = (at: number): number => {
    let low = 0
    let high = x.length - 1
    while (high - low > 1) {
      const middle = (low + high) >> 1
      if (x[middle] <= at) low = middle
      else high = middle
    }
    const share = (at - x[low]) / (x[high] - x[low])
    const levelDb = levelsDb[low] + share * (levelsDb[high] - levelsDb[low])
    return areas[low] + ((at - x[low]) * (levelsDb[low] + levelDb)) / 2
  }
  return (fromHz, toHz) => {
    const from = Math.log(fromHz)
    const to = Math.log(toHz)
    return (areaUpTo(to) - areaUpTo(from)) / (to - from)
  }
}

/** Slopes at the points: the weighted harmonic mean of both sides, 0 at a local extreme. */
function monotoneSlopes(x: readonly number[], y: readonly number[]): number[] {
  const count = x.length
  if (count < 2) return y.map(() => 0)
  const widths: number[] = []
  const secants: number[] = []
  for (let i = 0; i + 1 < count; i++) {
    widths.push(x[i + 1] - x[i])
    secants.push((y[i + 1] - y[i]) / widths[i])
  }
  if (count === 2) return [secants[0], secants[0]]
  const slopes = y.map((_, i) => {
    if (i === 0 || i === count - 1 || secants[i - 1] * secants[i] <= 0) return 0
    const before = 2 * widths[i] + widths[i - 1]
    const after = widths[i] + 2 * widths[i - 1]
    return (before + after) / (before / secants[i - 1] + after / secants[i])
  })
  const last = count - 2
  slopes[0] = endSlope(widths[0], widths[1], secants[0], secants[1])
  slopes[count - 1] = endSlope(widths[last], widths[last - 1], secants[last], secants[last - 1])
  return slopes
}

/** Slope of the parabola through the three end points, limited so that the end does not overshoot. */
function endSlope(width: number, nextWidth: number, secant: number, nextSecant: number): number {
  const slope = ((2 * width + nextWidth) * secant - width * nextSecant) / (width + nextWidth)
  if (slope * secant <= 0) return 0
  if (secant * nextSecant <= 0 && Math.abs(slope) > 3 * Math.abs(secant)) return 3 * secant
  return slope
}
