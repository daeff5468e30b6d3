// The pitch of a take, frame by frame: the path through the frames' dips with the lowest total cost. Leaps
// and changes between voiced and unvoiced add to the cost.
// Source: Viterbi search with the costs of Boersma, "Accurate short-term analysis of
// the fundamental frequency", IFA Proceedings 17, 1993 (from memory), on YIN's dips.

import { GrowingDoubles } from '../../maths/growing-doubles.ts'
import { type Dips, MAX_DIPS } from './yin.ts'

/** Cost of an unvoiced frame. */
const UNVOICED_COST = 0.27
/** Cost of a leap of one octave from one frame to the next. */
const LEAP_COST_PER_OCTAVE = 0.5
const VOICING_CHANGE_COST = 0.1
const SMOOTHING_SECONDS = 0.03
const LEAP_SEMITONES = 1.5
const STATES = MAX_DIPS + 1
const UNVOICED = MAX_DIPS

/** The voiced frames of a take in order; all arrays have one entry per frame. */
export interface PitchTrack {
  /** Times in seconds of the voiced frames, and their F0 in Hz. */
  readonly seconds: Float64Array
  readonly hz: Float64Array
  /** Mean square of those frames. */
  readonly powers: Float64Array
}

interface PitchTracker {
  /** @param focusSeconds energy centroid of the frame's window, whose samples are compared a period later */
  add(focusSeconds: number, power: number, dips: Dips, rateHz: number): void
  track(): PitchTrack
}

/** Collects frames with their dips and chooses the cheapest path through them at the end. */
export function createPitchTracker(): PitchTracker {
  // Three values per frame: time, power and number of dips; two values per dip: period and cost.
  const frames = new GrowingDoubles()
  const candidates = new GrowingDoubles()

  return {
    add(focusSeconds, power, dips, rateHz) {
      frames.push(focusSeconds)
      frames.push(power)
      frames.push(dips.count)
      for (let i = 0; i < dips.count; i++) {
        candidates.push(dips.periods[i] / rateHz)
        candidates.push(dips.costs[i])
      }
    },
    track() {
      const track = voicedFrames(frames.values(), cheapestPath(frames.values(), candidates.values()))
      return { ...track, hz: smoothed(track) }
    },
  }
}

/** The period of each frame in seconds, 0 where unvoiced. */
function cheapestPath(frames: Float64Array, candidates: Float64Array): Float64Array {
  const count = frames.length / 3
  const from = new Uint8Array(count * STATES)
  const firstCandidate = new Float64Array(count)
  let total = new Float64Array(STATES).fill(Number.POSITIVE_INFINITY)
  let next = new Float64Array(STATES)
  let octaves = new Float64Array(STATES)
  let nextOctaves = new Float64Array(STATES)
  total[UNVOICED] = 0
  let candidate = 0
  for (let frame = 0; frame < count; frame++) {
    const dips = frames[3 * frame + 2]
    firstCandidate[frame] = candidate
    next.fill(Number.POSITIVE_INFINITY)
    for (let state = 0; state < STATES; state++) {
      if (state >= dips && state !== UNVOICED) continue
      const isVoiced = state !== UNVOICED
      const own = isVoiced ? candidates[candidate + 2 * state + 1] : UNVOICED_COST
      nextOctaves[state] = isVoiced ? Math.log2(candidates[candidate + 2 * state]) : 0
      let best = Number.POSITIVE_INFINITY
      for (let before = 0; before < STATES; before++) {
        if (total[before] === Number.POSITIVE_INFINITY) continue
        const wasVoiced = before !== UNVOICED
        const change =
          isVoiced !== wasVoiced
            ? VOICING_CHANGE_COST
            : isVoiced
              ? LEAP_COST_PER_OCTAVE * Math.abs(nextOctaves[state] - octaves[before])
              : 0
        const cost = total[before] + change
        if (cost < best) {
          best = cost
          from[frame * STATES + state] = before
        }
      }
      next[state] = best + own
    }
    candidate += 2 * dips
    ;[total, next] = [next, total]
    ;[octaves, nextOctaves] = [nextOctaves, octaves]
  }
  const periods = new Float64Array(count)
  let state = 0
  for (let i = 1; i < STATES; i++) if (total[i] < total[state]) state = i
  for (let frame = count - 1; frame >= 0; frame--) {
    periods[frame] = state === UNVOICED ? 0 : candidates[firstCandidate[frame] + 2 * state]
    state = from[frame * STATES + state]
  }
  return periods
}

function voicedFrames(frames: Float64Array, periods: Float64Array): PitchTrack {
  const voiced = periods.reduce((sum, period) => sum + (period > 0 ? 1 : 0), 0)
  const seconds = new Float64Array(voiced)
  const hz = new Float64Array(voiced)
  const powers = new Float64Array(voiced)
  let at = 0
  for (let frame = 0; frame < periods.length; frame++) {
    const period = periods[frame]
    if (period === 0) continue
    seconds[at] = frames[3 * frame] + period / 2
    hz[at] = 1 / period
    powers[at] = frames[3 * frame + 1]
    at++
  }
  return { seconds, hz, powers }
}

/**
 * Fits a straight line to the pitches within +-SMOOTHING_SECONDS of each frame: this averages out
 * jitter from period to period but keeps glides. The fit does not extend across leaps.
 */
function smoothed({ seconds, hz }: Pick<PitchTrack, 'seconds' | 'hz'>): Float64Array {
  const count = hz.length
  const semitones = hz.map((one) => 12 * Math.log2(one))
  const out = new Float64Array(count)
  for (let i = 0; i < count; i++) {
    let [n, t1, t2, v, tv] = [0, 0, 0, 0, 0]
    const from = reach(seconds, semitones, i, -1)
    const to = reach(seconds, semitones, i, 1)
    for (let j = from; j <= to; j++) {
      const t = seconds[j] - seconds[i]
      const value = semitones[j] - semitones[i]
      n++
      t1 += t
      t2 += t * t
      v += value
      tv += t * value
    }
    const spread = n * t2 - t1 * t1
    const at = spread > 1e-12 ? (v * t2 - t1 * tv) / spread : 0
    out[i] = hz[i] * 2 ** (at / 12)
  }
  return out
}

/** The furthest frame in one direction within the smoothing time and without a leap from frame `i` to it. */
function reach(seconds: Float64Array, semitones: Float64Array, i: number, step: 1 | -1): number {
  let at = i
  for (let j = i + step; j >= 0 && j < seconds.length; j += step) {
    if (Math.abs(seconds[j] - seconds[i]) > SMOOTHING_SECONDS) break
    if (Math.abs(semitones[j] - semitones[j - step]) > LEAP_SEMITONES) break
    at = j
  }
  return at
}
