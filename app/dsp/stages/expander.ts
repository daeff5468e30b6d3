// Downward expander for the room between phrases. The level of the leader is an RMS
// (one pole of 5 ms on the square; 0 dBFS is a full-scale sine, AES17) without what lies below
// the voice, and it is heard before the sound, which is delayed by the look-ahead. Below the
// threshold each dB becomes `ratio` dB, down to the range. Attack is the opening,
// release the closing; hold keeps it open after the level has fallen. The loudest
// channel of the leader decides, so that a voice on one side keeps it open.

import { createLaneDelay } from '../mix/lane-delay.ts'
import { BLOCK_FRAMES, type Channels, type Stage, type StageLayout } from '../stage.ts'
import { createStateFlush } from '../wasm/decayed-states.ts'
import { copyIn, copyOut, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'
import { applyGains } from '../wasm/lane-gain.ts'
import { type Row, rowAt } from '../wasm/row.ts'
import { PAIR_STATE_LENGTH, pairCoefficients } from '../wasm/section-pairs.ts'
import { designExpander, OPEN_DB, SILENT_POWER } from './expander-design.ts'
import type { ExpanderSettings } from './settings.ts'

const FLUSH_EVERY_FRAMES = 512
/** Of three sections: two pairs, the second half empty. */
const FILTER_STATE_LENGTH = 2 * PAIR_STATE_LENGTH

/**
 * @param trace receives the reduction of each frame of a block in dB, 0 or more, at the frames that come out
 * @returns the expander; its latency is the look-ahead
 */
export function createExpander(
  settings: ExpanderSettings,
  layout: StageLayout,
  trace: Float64Array | null = null,
): Stage {
  const { laneChannels, sampleRateHz } = layout
  const leaderChannels = laneChannels[0]
  const design = designExpander(settings, sampleRateHz)
  const { highPass, lookAhead, detectorA, attackA, releaseA, holdFrames } = design
  const { thresholdPower, thresholdDb, slope } = design
  const sections = pairCoefficients([
    [highPass[0], highPass[1]],
    [highPass[2], undefined],
  ])
  const delay = createLaneDelay(laneChannels, lookAhead)

  const filters = Array.from({ length: leaderChannels }, () => new Float64Array(FILTER_STATE_LENGTH))
  const powers = new Float64Array(leaderChannels).fill(SILENT_POWER)
  // Reduction in dB, and frames of hold that remain.
  const ballistics = new Float64Array(2)
  const flush = createStateFlush(FLUSH_EVERY_FRAMES)
  const rows = createWorkRows()
  const control = rows.row(BLOCK_FRAMES)
  const other = rows.row(BLOCK_FRAMES)
  const sectionRow = rows.row(sections.length)
  const filterRow = rows.row(FILTER_STATE_LENGTH)
  const stateRow = rows.row(2)
  const stateView = viewOf(stateRow, 2)
  let reductionDb = 0

  function cutLows(from: number, to: number, row: Row): void {
    kernels.runSectionsOfOne(rowAt(row, from), to - from, sectionRow, filterRow, highPass.length)
  }

  function writeLevel(leader: Channels, frames: number): void {
    copyIn(sections, sectionRow, sections.length)
    for (let channel = 0; channel < leaderChannels; channel++) {
      const row = channel === 0 ? control : other
      copyIn(leader[channel], row, frames)
      copyIn(filters[channel], filterRow, FILTER_STATE_LENGTH)
      flush.run(frames, cutLows, row, filterRow, FILTER_STATE_LENGTH)
      copyOut(filterRow, filters[channel], FILTER_STATE_LENGTH)
      stateView[0] = powers[channel]
      kernels.followPower(row, frames, stateRow, detectorA, SILENT_POWER)
      powers[channel] = stateView[0]
      if (channel > 0) kernels.maximumRow(control, other, frames)
    }
    flush.advance(frames)
  }

  /** Writes the reduction of each frame in dB to `control`; returns the greatest. */
  function runControl(leader: Channels, frames: number): number {
    writeLevel(leader, frames)
    const { rangeDb } = settings
    const isBelow = kernels.writeExpansions(control, frames, thresholdPower, thresholdDb, slope, rangeDb)
    if (isBelow === 0 && ballistics[0] === 0) {
      ballistics[1] = holdFrames
      return 0
    }
    copyIn(ballistics, stateRow, 2)
    const greatestDb = kernels.runExpanderBallistics(
      control,
      frames,
      stateRow,
      attackA,
      releaseA,
      holdFrames,
      OPEN_DB,
    )
    copyOut(stateRow, ballistics, 2)
    return greatestDb
  }

  return {
    latencySamples: lookAhead,
    memory: [...filters, powers, ballistics, flush.memory, ...delay.memory],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      reductionDb = runControl(lanes[0], frames)
      if (reductionDb === 0) trace?.fill(0, 0, frames)
      else if (trace !== null) copyOut(control, trace, frames)
      delay.process(lanes, frames)
      if (reductionDb === 0) return
      kernels.writeGainsOfReductions(control, frames, 0, 1)
      applyGains(lanes, control, other, frames)
    },
  }
}
