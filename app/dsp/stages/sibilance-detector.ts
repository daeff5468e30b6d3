// The sibilance detector on the kernels: both bands of a channel in the halves of a vector.

import { BLOCK_FRAMES, type Channels } from '../stage.ts'
import { createStateFlush } from '../wasm/decayed-states.ts'
import { copyIn, copyOut, kernels, type WorkRows } from '../wasm/kernels.ts'
import { type Row, rowAt } from '../wasm/row.ts'
import { PAIR_STATE_LENGTH, pairCoefficients } from '../wasm/section-pairs.ts'
import { FLOOR_POWER, SILENT_POWER, sibilanceBands } from './sibilance-bands.ts'

const FLUSH_EVERY_FRAMES = 512
const SECTIONS = 3
/** State of the three sections in both bands; then the powers of the two bands, and those remembered. */
const FILTER_STATE_LENGTH = SECTIONS * PAIR_STATE_LENGTH
const RECENT_AT = FILTER_STATE_LENGTH + 2
const STATE_LENGTH = RECENT_AT + 3

interface SibilanceDetector {
  readonly memory: readonly Float64Array[]
  /**
   * Writes the ratio of the bands' powers, and how hot the sibilance is: its power over that of the voice's
   * hot sibilants so far, 0 where there is none. With several channels, the greatest of both.
   */
  run(leader: Channels, ratios: Row, hotness: Row, frames: number): void
}

/** @param channels of the leader @param sibilantRatio ratio of powers above which a moment is sibilant @param rows of the stage that uses the detector */
export function createSibilanceDetector(
  channels: number,
  sampleRateHz: number,
  sibilantRatio: number,
  rows: WorkRows,
): SibilanceDetector {
  const bands = sibilanceBands(sampleRateHz)
  const { sibilantBand, voiceBand, attackA, sibilantReleaseA, voiceReleaseA } = bands
  const { loudVoiceA, hotSibilantA, fade, fadeInPauses, forget, present, leastHot } = bands
  const sections = pairCoefficients(sibilantBand.map((section, k) => [section, voiceBand[k]]))
  const coefficients = Float64Array.of(...sections, attackA, attackA, sibilantReleaseA, voiceReleaseA)
  const states = Array.from({ length: channels }, () => new Float64Array(STATE_LENGTH))
  const flush = createStateFlush(FLUSH_EVERY_FRAMES)

  const coefficientRow = rows.row(coefficients.length)
  const stateRow = rows.row(STATE_LENGTH)
  const heard = rows.row(BLOCK_FRAMES)
  const heardHot = rows.row(BLOCK_FRAMES)
  const both = rows.row(2 * BLOCK_FRAMES)

  function writePowers(from: number, to: number, row: Row): void {
    kernels.writeBandPowers(rowAt(row, 2 * from), to - from, coefficientRow, stateRow, SILENT_POWER)
  }

  return {
    memory: [...states, flush.memory],
    run(leader, ratios, hotness, frames) {
      copyIn(coefficients, coefficientRow, coefficients.length)
      for (let channel = 0; channel < channels; channel++) {
        copyIn(leader[channel], heard, frames)
        kernels.interleaveRows(heard, heard, both, frames)
        copyIn(states[channel], stateRow, STATE_LENGTH)
        flush.run(frames, writePowers, both, stateRow, FILTER_STATE_LENGTH)
        const row = channel === 0 ? ratios : heard
        const hotRow = channel === 0 ? hotness : heardHot
        kernels.writeRatios(both, row, frames, FLOOR_POWER)
        kernels.writeHotness(
          both,
          row,
          hotRow,
          frames,
          rowAt(stateRow, RECENT_AT),
          sibilantRatio,
          loudVoiceA,
          hotSibilantA,
          fade,
          fadeInPauses,
          forget,
          present,
          leastHot,
        )
        copyOut(stateRow, states[channel], STATE_LENGTH)
        if (channel > 0) {
          kernels.maximumRow(ratios, heard, frames)
          kernels.maximumRow(hotness, heardHot, frames)
        }
      }
      flush.advance(frames)
    },
  }
}
