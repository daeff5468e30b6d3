// Optical-style levelling, feed-forward and in decibels: level of the leader, soft
// knee, two cells with a memory (opto-cell-design.ts), gain. The level is the RMS of what a
// 100 Hz high-pass lets through, and 0 dBFS is a full-scale sine (AES17), so a steady
// tone reads its peak level. Over several channels the loudest counts.

import { quadratureCoefficients } from '../filters/quadrature-design.ts'
import { BLOCK_FRAMES, type Channels, type Stage, type StageLayout } from '../stage.ts'
import { createWorkRows, kernels, put, take } from '../wasm/kernels.ts'
import { stateSpaceOf } from '../wasm/section-pairs.ts'
import { designOpto } from './opto-design.ts'
import type { OptoSettings } from './settings.ts'

/** -300 dB of power that is always there: keeps the logarithm finite and the smoother out of denormal numbers. */
const SILENT_POWER = 1e-30
const CLEAR_EVERY_FRAMES = 512
/** Doubles of state of a channel's level: those of its filters, and the smoothed power behind them. */
const FILTER_STATE_LENGTH = 24
const POWER_AT = FILTER_STATE_LENGTH
const LEVEL_STATE_LENGTH = FILTER_STATE_LENGTH + 1

export function createOpto(settings: OptoSettings, layout: StageLayout): Stage {
  const { thresholdDbfs, kneeDb, makeUpDb } = settings
  const { laneChannels, sampleRateHz } = layout
  const leaderChannels = laneChannels[0]
  const { highPass, detectorA, slope, untouchedPower, makeUpGain, cells } = designOpto(settings, sampleRateHz)
  const levelCoefficients = Float64Array.of(
    ...stateSpaceOf(highPass),
    detectorA,
    ...quadratureCoefficients(sampleRateHz),
  )
  const cellCoefficients = Float64Array.of(
    cells.attackA,
    cells.releaseA,
    cells.slowFillA,
    cells.memoryFillA,
    cells.memoryFadeA,
    cells.shortFrames,
    cells.moreFrames,
  )

  const levels = Array.from({ length: leaderChannels }, () => {
    const state = new Float64Array(LEVEL_STATE_LENGTH)
    state[POWER_AT] = SILENT_POWER
    return state
  })
  // Fast cell in dB, slow cell in dB, memory from 0 to 1, and the cells' sum as it was rounded.
  const cellState = new Float64Array(4)
  // Frames since dead values were last cleared: at fixed frames, whatever the blocks.
  const sinceCleared = new Float64Array(1)

  const rows = createWorkRows()
  const levelRow = rows.row(levelCoefficients.length)
  const cellRow = rows.row(cellCoefficients.length)
  const stateRow = rows.row(LEVEL_STATE_LENGTH)
  const control = rows.row(BLOCK_FRAMES)
  const other = rows.row(BLOCK_FRAMES)
  let reductionDb = 0

  /** Writes the greatest power of the leader's channels to `control`. */
  function writeLevel(leader: Channels, frames: number): void {
    for (let channel = 0; channel < leaderChannels; channel++) {
      const row = channel === 0 ? control : other
      const state = levels[channel]
      put(leader[channel], row, frames)
      put(state, stateRow, LEVEL_STATE_LENGTH)
      // As a whole number: doubles index slowly.
      let since = sinceCleared[0] | 0
      for (let from = 0; from < frames; ) {
        const to = Math.min(frames, from + CLEAR_EVERY_FRAMES - since)
        kernels.writeOptoPower(8 * (row + from), to - from, 8 * levelRow, 8 * stateRow, SILENT_POWER)
        since += to - from
        if (since === CLEAR_EVERY_FRAMES) {
          kernels.clearDead(8 * stateRow, FILTER_STATE_LENGTH)
          since = 0
        }
        from = to
      }
      take(stateRow, state, LEVEL_STATE_LENGTH)
      if (channel > 0) kernels.raiseRow(8 * control, 8 * other, frames)
    }
    sinceCleared[0] = (sinceCleared[0] + frames) % CLEAR_EVERY_FRAMES
  }

  return {
    latencySamples: 0,
    memory: [...levels, cellState, sinceCleared],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      put(levelCoefficients, levelRow, levelCoefficients.length)
      put(cellCoefficients, cellRow, cellCoefficients.length)
      writeLevel(lanes[0], frames)
      kernels.writeStaticReductions(8 * control, frames, untouchedPower, thresholdDbfs, slope, kneeDb)
      put(cellState, stateRow, cellState.length)
      reductionDb = kernels.runOptoCells(8 * control, frames, 8 * cellRow, 8 * stateRow)
      take(stateRow, cellState, cellState.length)
      if (reductionDb === 0 && makeUpDb === 0) return
      kernels.writeReducedGains(8 * control, frames, makeUpDb, makeUpGain)
      for (let lane = 0; lane < lanes.length; lane++) {
        for (let channel = 0; channel < laneChannels[lane]; channel++) {
          const samples = lanes[lane][channel]
          put(samples, other, frames)
          kernels.multiplyRow(8 * other, 8 * control, frames)
          take(other, samples, frames)
        }
      }
    },
  }
}
