// The sibilance detector on the kernels: both bands of a channel in the halves of a vector.

import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { kernels, put, take, type WorkRows } from '../wasm/kernels.ts'
import { PAIR_STATE_LENGTH, pairCoefficients } from '../wasm/section-pairs.ts'
import { FLOOR_POWER, SILENT_POWER, sibilanceBands } from './sibilance-bands.ts'

const CLEAR_EVERY_FRAMES = 512
const SECTIONS = 3
/** Of three sections in both bands; the powers of the bands come behind them. */
const FILTER_STATE_LENGTH = SECTIONS * PAIR_STATE_LENGTH
const STATE_LENGTH = FILTER_STATE_LENGTH + 2

export interface SibilanceDetector {
  readonly memory: readonly Float64Array[]
  /** Writes the ratio of the bands' powers to a row; over several channels the greatest. */
  run(leader: Channels, ratios: number, frames: number): void
}

export function createSibilanceDetector(
  channels: number,
  sampleRateHz: number,
  rows: WorkRows,
): SibilanceDetector {
  const bands = sibilanceBands(sampleRateHz)
  const { sibilantBand, voiceBand, attackA, sibilantReleaseA, voiceReleaseA } = bands
  const sections = pairCoefficients(sibilantBand.map((section, k) => [section, voiceBand[k]]))
  const coefficients = Float64Array.of(...sections, attackA, attackA, sibilantReleaseA, voiceReleaseA)
  const states = Array.from({ length: channels }, () => new Float64Array(STATE_LENGTH))
  const sinceCleared = new Float64Array(1)

  const coefficientRow = rows.row(coefficients.length)
  const stateRow = rows.row(STATE_LENGTH)
  const heard = rows.row(BLOCK_FRAMES)
  const both = rows.row(2 * BLOCK_FRAMES)

  function writePowers(state: Float64Array, frames: number): void {
    put(state, stateRow, STATE_LENGTH)
    // As a whole number: doubles index slowly.
    let since = sinceCleared[0] | 0
    for (let from = 0; from < frames; ) {
      const to = Math.min(frames, from + CLEAR_EVERY_FRAMES - since)
      kernels.writeBandPowers(
        8 * (both + 2 * from),
        to - from,
        8 * coefficientRow,
        8 * stateRow,
        SILENT_POWER,
      )
      since += to - from
      if (since === CLEAR_EVERY_FRAMES) {
        kernels.clearDead(8 * stateRow, FILTER_STATE_LENGTH)
        since = 0
      }
      from = to
    }
    take(stateRow, state, STATE_LENGTH)
  }

  return {
    memory: [...states, sinceCleared],
    run(leader, ratios, frames) {
      put(coefficients, coefficientRow, coefficients.length)
      for (let channel = 0; channel < channels; channel++) {
        put(leader[channel], heard, frames)
        kernels.interleaveRows(8 * heard, 8 * heard, 8 * both, frames)
        writePowers(states[channel], frames)
        const row = channel === 0 ? ratios : heard
        kernels.writeRatios(8 * both, 8 * row, frames, FLOOR_POWER)
        if (channel > 0) kernels.raiseRow(8 * ratios, 8 * heard, frames)
      }
      sinceCleared[0] = (sinceCleared[0] + frames) % CLEAR_EVERY_FRAMES
    },
  }
}
