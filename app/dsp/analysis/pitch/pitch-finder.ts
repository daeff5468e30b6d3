// Finds the pitch in a stream: decimates it, splits it into frames, and finds the YIN dips of each frame.

import { createDecimator } from '../spectra/decimator.ts'
import { createFramer } from '../spectra/framer.ts'
import { createPitchTracker, type PitchTrack } from './pitch-track.ts'
import { createDips, createYin } from './yin.ts'

/** About one and a half periods of the lowest pitch; longer windows blur the glides of singers. */
const WINDOW_SECONDS = 0.022
/** Time from one pitch frame to the next. */
export const PITCH_HOP_SECONDS = 0.01
/** Frames with less power than this, or with less than this ratio of the loudest so far, are not searched. */
const SILENT_POWER = 1e-10
const QUIET_RATIO = 1e-4
/** `pitchBetween` treats a frame as unvoiced if its best dip costs more; `track` considers neighbours too. */
const VOICED_COST = 0.25

interface PitchFinder {
  /** @param count up to 4096 */
  add(samples: Float64Array, count: number): void
  /** Median F0 in Hz of the last 64 frames between two times; 0 unless at least half of these are voiced. */
  pitchBetween(fromSeconds: number, toSeconds: number): number
  track(): PitchTrack
}

/** @param sampleRateHz of the samples that are added, 8 kHz or more */
export function createPitchFinder(sampleRateHz: number): PitchFinder {
  const decimator = createDecimator(sampleRateHz)
  const { rateHz } = decimator
  const yin = createYin(rateHz, WINDOW_SECONDS)
  const framer = createFramer(yin.frameSamples, Math.round(PITCH_HOP_SECONDS * rateHz))
  const tracker = createPitchTracker()
  const dips = createDips()
  const slow = new Float64Array(4097)
  const lead = decimator.leadSamples / sampleRateHz
  const middle = yin.frameSamples / 2 / rateHz
  // Ring buffers of the last 64 frames: time and pitch of the best dip.
  const recentSeconds = new Float64Array(64).fill(-1)
  const recentHz = new Float64Array(64)
  let frames = 0
  let loudest = 0

  function takeFrame(frame: Float64Array, startSample: number): void {
    let power = 0
    for (let n = 0; n < frame.length; n++) power += frame[n] * frame[n]
    power /= frame.length
    if (power > loudest) loudest = power
    dips.count = 0
    if (power > SILENT_POWER && power > QUIET_RATIO * loudest) yin.measure(frame, dips)
    const startSeconds = startSample / rateHz - lead
    // The pitch is that at the energy centroid of the window, which at phrase edges is not the middle.
    let energy = 0
    let moment = 0
    for (let n = 0; n < yin.windowSamples; n++) {
      const square = frame[n] * frame[n]
      energy += square
      moment += square * n
    }
    const focus = energy > 0 ? moment / energy : yin.windowSamples / 2
    tracker.add(startSeconds + focus / rateHz, power, dips, rateHz)
    let best = -1
    for (let i = 0; i < dips.count; i++) if (best < 0 || dips.costs[i] < dips.costs[best]) best = i
    recentSeconds[frames % 64] = startSeconds + middle
    recentHz[frames % 64] = best >= 0 && dips.costs[best] < VOICED_COST ? rateHz / dips.periods[best] : 0
    frames++
  }

  return {
    add(samples, count) {
      framer.add(slow, decimator.add(samples, count, slow), takeFrame)
    },
    pitchBetween(fromSeconds, toSeconds) {
      const found: number[] = []
      let seen = 0
      for (let i = 0; i < 64; i++) {
        if (recentSeconds[i] < fromSeconds || recentSeconds[i] > toSeconds) continue
        seen++
        if (recentHz[i] > 0) found.push(recentHz[i])
      }
      if (found.length === 0 || 2 * found.length < seen) return 0
      found.sort((a, b) => a - b)
      return found[found.length >> 1]
    },
    track: () => tracker.track(),
  }
}
