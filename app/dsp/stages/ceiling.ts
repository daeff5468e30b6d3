// True-peak limiter with look-ahead. No sample of the leader ever exceeds the ceiling;
// sound that stays below it passes unchanged, bit for bit.
//
// With c the ceiling, p[n] the leader's greatest peak in the intervals on either side of
// sample n, and W the look-ahead:
//   d[n] = max(0, 1 - c / p[n])                    reduction needed at n
//   m[n] = max of d over the last W samples        held for the look-ahead
//   s[n] = m[n] if that is more, else s[n-1] released toward m[n]      so s >= m
//   gain[n] = 1 - (weighted mean of the last W of s), weights 0 or more
//   y[n] = x[n - (W - 1)] gain[n]
// Proof: each of the W values of s that make gain[n] is at least its m, and the window
// of each of those m holds sample n - (W - 1). So each is at least d[n - (W - 1)], and
// so is their mean: gain[n] <= c / p[n - (W - 1)] and |y[n]| <= c. (Smoothing with
// weights below 0, or by recursion, would break this.) Rounding, one part in 2^52, is
// clamped. c is 2^-23 below the setting, so that 32-bit floats keep to it too.
// The bound holds at samples. Between samples the gain moves, so true peaks come close to it; tests measure by how
// much. A bounce looks again with a longer interpolator (engine/rendering/ceiling-trim.ts), which holds to 0.495 of
// the rate (23.76 kHz at 48 kHz). Closer to half the rate, samples of a tone swell and fade at twice its distance from
// there, the gain recovers in between, and true peaks pass the ceiling whatever it is set to.

import { dbFromGain } from '../maths/decibels.ts'
import { truePeakOversampling } from '../meters/true-peak.ts'
import { createInterpolator, GROUP_FRAMES } from '../meters/true-peak-interpolator.ts'
import { BLOCK_FRAMES, type Stage, type StageLayout } from '../stage.ts'
import { clearRow, copyIn, copyOut, createWorkRows, kernels } from '../wasm/kernels.ts'
import { type Row, rowAt } from '../wasm/row.ts'
import { boxLengths, designCeiling } from './ceiling-design.ts'
import type { CeilingSettings } from './settings.ts'

const TAPS = 2 * GROUP_FRAMES
/** Samples before a block that the search for its peaks reads: two groups, and two more for its second differences. */
const SEARCHED_BEFORE = TAPS + 2
/** Doubles of the control's state before its queue; the last counts frames since it did anything. */
const CONTROL_SCALARS = 9
const QUIET_AT = 8

/**
 * @param trace receives the reduction of each frame of a block in dB, 0 or more, at the frames that come out
 * @returns the limiter; its latency is the look-ahead and the interpolator's delay
 */
export function createCeiling(
  settings: CeilingSettings,
  layout: StageLayout,
  trace: Float64Array | null = null,
): Stage {
  const { laneChannels, sampleRateHz } = layout
  const { ceiling, lookAhead, latencySamples, releaseA } = designCeiling(settings, sampleRateHz)
  const leaderChannels = laneChannels[0]
  const { taps, peakFactor, nearFactor, bendFactor } = createInterpolator(truePeakOversampling(sampleRateHz))
  // The kernel processes two phases at a time; an odd number is padded with zero taps.
  const phases = 2 * Math.ceil(taps.length / TAPS / 2)
  const phaseTaps = new Float64Array(phases * TAPS)
  phaseTaps.set(taps)
  // An interval touches two samples, so a window over intervals is one longer.
  const window = lookAhead + 1
  const [firstLength, secondLength] = boxLengths(lookAhead)
  const history = Math.max(latencySamples, SEARCHED_BEFORE)

  const rows = createWorkRows()
  const tapRow = rows.row(phaseTaps.length)
  const control = rows.row(BLOCK_FRAMES)
  const controlState = new Float64Array(CONTROL_SCALARS + 2 * window + firstLength + secondLength)
  const stateRow = rows.row(controlState.length)
  // A row for each channel of the leader, since all their peaks come first, and one for all others.
  const leaderRows = Array.from({ length: leaderChannels }, () => rows.row(history + BLOCK_FRAMES))
  const followerRow = rows.row(history + BLOCK_FRAMES)
  const before = laneChannels.map((count) => Array.from({ length: count }, () => new Float64Array(history)))
  controlState[QUIET_AT] = lookAhead
  let reductionDb = 0

  /** Writes the reductions (1 - gain) to `control`; returns the greatest. */
  function runControl(frames: number): number {
    copyIn(phaseTaps, tapRow, phaseTaps.length)
    clearRow(control, frames)
    let isAny = 0
    for (let channel = 0; channel < leaderChannels; channel++) {
      isAny |= kernels.raiseToIntervalPeaks(
        rowAt(leaderRows[channel], history),
        frames,
        control,
        ceiling,
        tapRow,
        phases,
        peakFactor,
        nearFactor,
        bendFactor,
      )
    }
    // A reduction released a look-ahead ago has left the queue and both means.
    if (isAny === 0 && controlState[QUIET_AT] >= lookAhead) return 0
    copyIn(controlState, stateRow, controlState.length)
    const greatest = kernels.runCeilingControl(
      control,
      frames,
      stateRow,
      ceiling,
      releaseA,
      window,
      firstLength,
      secondLength,
    )
    copyOut(stateRow, controlState, controlState.length)
    return greatest
  }

  /** Copies in a channel's history and its block, and keeps the history for the next block. */
  function recall(samples: Float64Array, heardBefore: Float64Array, row: Row, frames: number): void {
    copyIn(heardBefore, row, history)
    copyIn(samples, rowAt(row, history), frames)
    copyOut(rowAt(row, frames), heardBefore, history)
  }

  return {
    latencySamples,
    memory: [...before.flat(), controlState],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      for (let channel = 0; channel < leaderChannels; channel++) {
        recall(lanes[0][channel], before[0][channel], leaderRows[channel], frames)
      }
      const greatest = runControl(frames)
      reductionDb = greatest === 0 ? 0 : -dbFromGain(1 - greatest)
      if (greatest === 0) trace?.fill(0, 0, frames)
      else if (trace !== null) {
        copyOut(control, trace, frames)
        for (let i = 0; i < frames; i++) trace[i] = trace[i] === 0 ? 0 : -dbFromGain(1 - trace[i])
      }
      for (let lane = 0; lane < lanes.length; lane++) {
        for (let channel = 0; channel < laneChannels[lane]; channel++) {
          const samples = lanes[lane][channel]
          const row = lane === 0 ? leaderRows[channel] : followerRow
          if (lane > 0) recall(samples, before[lane][channel], row, frames)
          const late = rowAt(row, history - latencySamples)
          if (greatest > 0) {
            kernels.attenuateRow(late, control, frames)
            if (lane === 0) kernels.clampRow(late, frames, ceiling)
          }
          copyOut(late, samples, frames)
        }
      }
    },
  }
}
