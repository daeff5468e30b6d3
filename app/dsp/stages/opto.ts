// Optical-style levelling, feed-forward and in decibels: level of the leader, soft
// knee, two cells with a memory (opto-cell-design.ts), gain. The level is an RMS that
// weights low sound as the ear does, and 0 dBFS is a full-scale sine (AES17), so a steady
// tone from 300 Hz on reads its peak level. Over several channels the loudest counts.

import { quadratureCoefficients } from '../filters/quadrature-design.ts'
import { BLOCK_FRAMES, type Channels, type Stage, type StageLayout } from '../stage.ts'
import { createStateFlush } from '../wasm/decayed-states.ts'
import { copyIn, copyOut, createWorkRows, kernels } from '../wasm/kernels.ts'
import { applyGains } from '../wasm/lane-gain.ts'
import { type Row, rowAt } from '../wasm/row.ts'
import { PAIR_STATE_LENGTH, pairCoefficients, stateSpaceOf } from '../wasm/section-pairs.ts'
import { designOpto } from './opto-design.ts'
import type { OptoSettings } from './settings.ts'

/** A constant power of -300 dB that keeps the logarithm finite and the smoother out of denormal numbers. */
const SILENT_POWER = 1e-30
const FLUSH_EVERY_FRAMES = 512
/** Sections of the side chain that run before `writeOptoPower`, which has the last one in it. */
const SECTIONS_BEFORE = 3
/** Of those three: two pairs, the second half empty. */
const BEFORE_STATE_LENGTH = 2 * PAIR_STATE_LENGTH
/** Doubles of state of a channel's level: those of its filters, and the smoothed power behind them. */
const FILTER_STATE_LENGTH = BEFORE_STATE_LENGTH + 24
const POWER_AT = FILTER_STATE_LENGTH
const LEVEL_STATE_LENGTH = FILTER_STATE_LENGTH + 1

/**
 * @param trace receives the reduction of each frame of a block in dB, 0 or more, without the make-up gain
 * @returns the levelling compressor; no latency
 */
export function createOpto(
  settings: OptoSettings,
  layout: StageLayout,
  trace: Float64Array | null = null,
): Stage {
  const { thresholdDbfs, kneeDb, makeUpDb } = settings
  const { laneChannels, sampleRateHz } = layout
  const leaderChannels = laneChannels[0]
  const { highPass, detectorA, slope, untouchedPower, makeUpGain, cells } = designOpto(settings, sampleRateHz)
  const sections = pairCoefficients([
    [highPass[0], highPass[1]],
    [highPass[2], undefined],
  ])
  const levelCoefficients = Float64Array.of(
    ...stateSpaceOf(highPass[SECTIONS_BEFORE]),
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
    cells.settleA,
  )

  const levels = Array.from({ length: leaderChannels }, () => {
    const state = new Float64Array(LEVEL_STATE_LENGTH)
    state[POWER_AT] = SILENT_POWER
    return state
  })
  // Fast cell in dB, slow cell in dB, memory from 0 to 1, and the sum of both cells, because adding them again rounds differently.
  const cellState = new Float64Array(4)
  const flush = createStateFlush(FLUSH_EVERY_FRAMES)

  const rows = createWorkRows()
  const sectionRow = rows.row(sections.length)
  const levelRow = rows.row(levelCoefficients.length)
  const cellRow = rows.row(cellCoefficients.length)
  const stateRow = rows.row(LEVEL_STATE_LENGTH)
  const control = rows.row(BLOCK_FRAMES)
  const other = rows.row(BLOCK_FRAMES)
  let reductionDb = 0

  function writePower(from: number, to: number, row: Row): void {
    const span = rowAt(row, from)
    kernels.runSectionsOfOne(span, to - from, sectionRow, stateRow, SECTIONS_BEFORE)
    kernels.writeOptoPower(span, to - from, levelRow, rowAt(stateRow, BEFORE_STATE_LENGTH), SILENT_POWER)
  }

  /** Writes the greatest power of the leader's channels to `control`. */
  function writeLevel(leader: Channels, frames: number): void {
    for (let channel = 0; channel < leaderChannels; channel++) {
      const row = channel === 0 ? control : other
      const state = levels[channel]
      copyIn(leader[channel], row, frames)
      copyIn(state, stateRow, LEVEL_STATE_LENGTH)
      flush.run(frames, writePower, row, stateRow, FILTER_STATE_LENGTH)
      copyOut(stateRow, state, LEVEL_STATE_LENGTH)
      if (channel > 0) kernels.maximumRow(control, other, frames)
    }
    flush.advance(frames)
  }

  return {
    latencySamples: 0,
    memory: [...levels, cellState, flush.memory],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      copyIn(sections, sectionRow, sections.length)
      copyIn(levelCoefficients, levelRow, levelCoefficients.length)
      copyIn(cellCoefficients, cellRow, cellCoefficients.length)
      writeLevel(lanes[0], frames)
      kernels.writeStaticReductions(control, frames, untouchedPower, thresholdDbfs, slope, kneeDb)
      copyIn(cellState, stateRow, cellState.length)
      reductionDb = kernels.runOptoCells(control, frames, cellRow, stateRow)
      copyOut(stateRow, cellState, cellState.length)
      if (trace !== null) copyOut(control, trace, frames)
      if (reductionDb === 0 && makeUpDb === 0) return
      kernels.writeGainsOfReductions(control, frames, makeUpDb, makeUpGain)
      applyGains(lanes, control, other, frames)
    },
  }
}
