// Finds resonances that are not harmonics: narrow humps of the voice's envelope above both of their
// flanks, present in many of the seconds, and not where a harmonic of a held
// note would be. What engineers call a resonance differs from one to the next in more
// than half of the cases (a study with 22 engineers, as reported by Uriostegui-Hernandez
// et al., Appl. Sci. 15(6) 3038, 2025): these are places to listen to, not verdicts.

import { ENVELOPE_POINTS_PER_OCTAVE, envelopeFrequencyHz } from '../voice-envelope.ts'

/** A narrow peak of the voice's mean envelope. */
export interface Resonance {
  readonly frequencyHz: number
  /** Height above the mean of its flanks, from a sixth to half an octave away. */
  readonly prominenceDb: number
  /** Centre frequency divided by the width at half the height. */
  readonly q: number
  /** Share of the seconds with voice in which it stands out. */
  readonly persistencePercent: number
}

interface PitchSpread {
  readonly medianHz: number
  readonly interquartileSemitones: number
}

const MIN_PROMINENCE_DB = 4
const WIDEST_OCTAVES = 1 / 3
const MIN_PERSISTENCE = 0.4
/** The lower prominence required in a single second. */
const PROMINENCE_IN_A_SECOND_DB = 3
/** How far the hump of one second may be from that of the mean, in points of the envelope. */
const WANDER_POINTS = 2
const HALF_OCTAVE = ENVELOPE_POINTS_PER_OCTAVE / 2
const FLANK_FROM = ENVELOPE_POINTS_PER_OCTAVE / 6
/**
 * Share of its height by which the curve falls on either side of a hump, at least (our choice). A share over the mean of the
 * flank would not do: on a slope of 12 dB an octave a resonance of 6 dB is hardly over its higher flank.
 */
const LEAST_SHARE = 0.3
const SEARCH_FROM_HZ = 180
const SEARCH_TO_HZ = 10_000
/** The harmonics of a voice with less pitch variation than this show in its mean spectrum. */
const STEADY_SEMITONES = 1.5
const HARMONIC_TOLERANCE = 0.03

/**
 * Height in dB of each point above the mean of both its flanks, from a sixth to half an octave away, so that
 * a hump narrower than a third of an octave does not raise its own reference. 0 at the ends, where a flank
 * is missing.
 */
function prominences(levelsDb: ArrayLike<number>): Float64Array {
  const count = levelsDb.length
  const sums = new Float64Array(count + 1)
  for (let i = 0; i < count; i++) sums[i + 1] = sums[i] + levelsDb[i]
  const heights = new Float64Array(count)
  const width = HALF_OCTAVE - FLANK_FROM + 1
  for (let i = HALF_OCTAVE; i < count - HALF_OCTAVE; i++) {
    const below = sums[i - FLANK_FROM + 1] - sums[i - HALF_OCTAVE]
    const above = sums[i + HALF_OCTAVE + 1] - sums[i + FLANK_FROM]
    heights[i] = levelsDb[i] - (below + above) / (2 * width)
  }
  return heights
}

/** Mean level of the flank below (-1) or above (1) a point. */
function flank(levelsDb: ArrayLike<number>, at: number, side: -1 | 1): number {
  let sum = 0
  for (let away = FLANK_FROM; away <= HALF_OCTAVE; away++) sum += levelsDb[at + side * away]
  return sum / (HALF_OCTAVE - FLANK_FROM + 1)
}

/** How far the curve falls within half an octave below (-1) or above (1) a point. */
function fall(levelsDb: ArrayLike<number>, at: number, side: -1 | 1): number {
  let lowest = levelsDb[at]
  for (let away = 1; away <= HALF_OCTAVE; away++) lowest = Math.min(lowest, levelsDb[at + side * away])
  return levelsDb[at] - lowest
}

/** A narrow hump of a curve. */
export interface Hump {
  readonly index: number
  readonly frequencyHz: number
  readonly heightDb: number
  /** Width at half the height. */
  readonly widthHz: number
}

/** Humps of a curve on the envelope's points, narrower than a third of an octave and not a harmonic. */
export function humpsOf(levelsDb: readonly number[], leastHeightDb: number, pitch: PitchSpread): Hump[] {
  const heights = prominences(levelsDb)
  const found: Hump[] = []
  for (let i = HALF_OCTAVE; i < heights.length - HALF_OCTAVE; i++) {
    const heightDb = heights[i]
    if (heightDb < leastHeightDb || heightDb < heights[i - 1] || heightDb <= heights[i + 1]) continue
    // Where a spectrum ends, it falls on one side only, and what ripples beyond is under the flank before the end.
    if (Math.min(fall(levelsDb, i, -1), fall(levelsDb, i, 1)) < LEAST_SHARE * heightDb) continue
    if (levelsDb[i] < Math.max(flank(levelsDb, i, -1), flank(levelsDb, i, 1))) continue
    const frequencyHz = envelopeFrequencyHz(i)
    if (frequencyHz < SEARCH_FROM_HZ || frequencyHz > SEARCH_TO_HZ) continue
    const octaves = widthAtHalfHeight(heights, i)
    if (octaves >= WIDEST_OCTAVES) continue
    const widthHz = frequencyHz * (2 ** (octaves / 2) - 2 ** (-octaves / 2))
    if (!isHarmonic(frequencyHz, widthHz, pitch)) found.push({ index: i, frequencyHz, heightDb, widthHz })
  }
  return found
}

/**
 * Resonances of the mean envelope that also stand out in single seconds, strongest first.
 * @param meanDb, secondsDb envelopes in dB on the points of `envelopeFrequencyHz`
 */
export function findResonances(
  meanDb: readonly number[],
  secondsDb: readonly ArrayLike<number>[],
  pitch: PitchSpread,
): Resonance[] {
  const heightsBySecond = secondsDb.map(prominences)
  const found: Resonance[] = []
  for (const hump of humpsOf(meanDb, MIN_PROMINENCE_DB, pitch)) {
    const seconds = heightsBySecond.filter((one) => standsOut(one, hump.index)).length
    if (seconds < MIN_PERSISTENCE * heightsBySecond.length) continue
    found.push({
      frequencyHz: hump.frequencyHz,
      prominenceDb: hump.heightDb,
      q: hump.frequencyHz / hump.widthHz,
      persistencePercent: (100 * seconds) / heightsBySecond.length,
    })
  }
  return found.sort((a, b) => b.prominenceDb - a.prominenceDb)
}

function widthAtHalfHeight(heights: Float64Array, top: number): number {
  const half = heights[top] / 2
  const edge = (step: 1 | -1): number => {
    let i = top
    while (i + step >= 0 && i + step < heights.length && heights[i + step] > half) i += step
    const outside = heights[i + step] ?? half
    const share = heights[i] > outside ? (heights[i] - half) / (heights[i] - outside) : 0
    return Math.abs(i - top) + Math.min(1, share)
  }
  return (edge(1) + edge(-1)) / ENVELOPE_POINTS_PER_OCTAVE
}

/**
 * Whether a hump may be just a harmonic of a voice with steady pitch: near a multiple of the pitch, where
 * multiples can be told apart, or too narrow to contain two harmonics.
 */
function isHarmonic(
  frequencyHz: number,
  widthHz: number,
  { medianHz, interquartileSemitones }: PitchSpread,
): boolean {
  if (interquartileSemitones >= STEADY_SEMITONES) return false
  const multiple = Math.max(1, Math.round(frequencyHz / medianHz))
  const isNear = Math.abs(frequencyHz / (multiple * medianHz) - 1) < HARMONIC_TOLERANCE
  return (isNear && 4 * HARMONIC_TOLERANCE * frequencyHz < medianHz) || widthHz < 1.5 * medianHz
}

function standsOut(heights: Float64Array, at: number): boolean {
  for (let i = at - WANDER_POINTS; i <= at + WANDER_POINTS; i++) {
    if (heights[i] >= PROMINENCE_IN_A_SECOND_DB) return true
  }
  return false
}
