// The de-esser: a dynamic high shelf or bell that cuts while the sibilant band outweighs the voice
// in the same moment (sibilance-bands.ts).
//
// Each dB of the ratio over the threshold gives one dB of reduction, with a knee of 4 dB, up to
// the range. The ballistics work in dB: attack 1.5 ms, hold 5 ms, release of the whole range
// in 60 ms, with a look-ahead of 4 ms so that the cut is in place when the s begins.
// Reductions under 0.01 dB are 0, so that between sibilants the output is the input, bit for bit.
//
// The range is the reduction of the sibilant band, so a shelf has its midpoint (half its
// dB, W3C Audio EQ Cookbook) half an octave below its frequency and reduces by nearly all of
// the range from there up. A bell has Q 1/sqrt(2) and reduces by all of it at its frequency.

import { warp } from '../filters/cookbook.ts'
import { BLOCK_FRAMES, type Channels, type Stage, type StageLayout } from '../stage.ts'
import { createStateFlush } from '../wasm/decayed-states.ts'
import { clearRow, copyIn, copyOut, createWorkRows, kernels, viewOf } from '../wasm/kernels.ts'
import { type Row, rowAt } from '../wasm/row.ts'
import { designDeEss, KNEE_DB, SECTION_Q, UNTOUCHED_DB } from './de-ess-design.ts'
import type { DeEssSettings } from './settings.ts'
import { createSibilanceDetector } from './sibilance-detector.ts'

/** Rows of coefficients of a section that moves, and doubles from one to the next. */
const SECTION_ROWS = 7
const SECTION_ROW = BLOCK_FRAMES + 8
const FLUSH_EVERY_FRAMES = 512

/** @returns the de-esser; its latency is the look-ahead */
export function createDeEss(settings: DeEssSettings, layout: StageLayout): Stage {
  const { laneChannels, sampleRateHz } = layout
  const { shape, thresholdDb, rangeDb } = settings
  const design = designDeEss(settings, sampleRateHz)
  const { latencySamples, holdFrames, attackA, releaseDb, untouchedRatio } = design
  const g = warp(design.sectionHz, sampleRateHz)

  const rows = createWorkRows()
  const detector = createSibilanceDetector(laneChannels[0], sampleRateHz, rows)
  const control = rows.row(BLOCK_FRAMES)
  // The ballistics kernel writes the frames with reduction behind its state: the first and the one after the last.
  const stateRow = rows.row(4)
  const stateView = viewOf(stateRow, 4)
  const restRow = rows.row(4)
  const section = rows.row(SECTION_ROWS * SECTION_ROW)
  /** A channel's history, then its block: reading from the start delays it. */
  const sound = rows.row(latencySamples + BLOCK_FRAMES)

  // Reduction in dB, and frames of hold that remain.
  const ballistics = new Float64Array(2)
  const flush = createStateFlush(FLUSH_EVERY_FRAMES)
  /** The section's state and the delayed sound of every channel. */
  const channels = laneChannels.map((count) =>
    Array.from({ length: count }, () => ({
      state: new Float64Array(2),
      waiting: new Float64Array(latencySamples),
    })),
  )
  let reductionDb = 0
  // Frames of the block with reduction: from `first` up to `past`, which is excluded.
  let first = 0
  let past = 0

  function designSection(from: number, to: number): void {
    const at = rowAt(control, from)
    kernels.designMovingSection(at, to - from, rowAt(section, from), g, 1 / SECTION_Q, shape === 'bell')
  }

  // Without reduction the section's state advances with the coefficients for 0 dB.
  clearRow(control, 2)
  designSection(0, 1)
  const atRest = Float64Array.from({ length: 4 }, (_, k) => viewOf(rowAt(section, k * SECTION_ROW), 1)[0])

  /** Runs the section over frames of `sound`, of which those from `first` to `past` have reduction. */
  function runSection(from: number, to: number, sound: Row): void {
    const start = Math.min(Math.max(from, first), to)
    const end = Math.min(Math.max(start, past), to)
    if (start > from) kernels.advanceAtRest(rowAt(sound, from), start - from, restRow, stateRow)
    if (end > start) {
      const samples = rowAt(sound, start)
      const reductions = rowAt(control, start)
      kernels.runMovingSection(samples, end - start, reductions, rowAt(section, start), stateRow)
    }
    if (to > end) kernels.advanceAtRest(rowAt(sound, end), to - end, restRow, stateRow)
  }

  /** Delays one channel and applies the reductions in `control`. */
  function runChannel(
    samples: Float64Array,
    { state, waiting }: { state: Float64Array; waiting: Float64Array },
    frames: number,
  ): void {
    copyIn(waiting, sound, latencySamples)
    copyIn(samples, rowAt(sound, latencySamples), frames)
    copyIn(state, stateRow, 2)
    copyOut(rowAt(sound, frames), waiting, latencySamples)
    flush.run(frames, runSection, sound, stateRow, 2)
    copyOut(stateRow, state, 2)
    copyOut(sound, samples, frames)
  }

  /** Writes the reduction of each frame in dB to `control`; returns the greatest. */
  function runControl(leader: Channels, frames: number): number {
    detector.run(leader, control, frames)
    const isAsked = kernels.writeStaticReductions(control, frames, untouchedRatio, thresholdDb, 1, KNEE_DB)
    if (isAsked === 0 && ballistics[0] === 0) {
      ballistics[1] = holdFrames
      return 0
    }
    copyIn(ballistics, stateRow, 2)
    const greatestDb = kernels.runDeEssBallistics(
      control,
      frames,
      stateRow,
      rangeDb,
      attackA,
      holdFrames,
      releaseDb,
      UNTOUCHED_DB,
    )
    copyOut(stateRow, ballistics, 2)
    return greatestDb
  }

  return {
    latencySamples,
    memory: [
      ...detector.memory,
      ...channels.flat().flatMap(({ state, waiting }) => [state, waiting]),
      ballistics,
      flush.memory,
    ],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      reductionDb = runControl(lanes[0], frames)
      const isTouched = reductionDb > 0
      first = isTouched ? stateView[2] | 0 : frames
      past = isTouched ? stateView[3] | 0 : frames
      if (isTouched) designSection(first, past)
      copyIn(atRest, restRow, 4)
      for (let lane = 0; lane < lanes.length; lane++) {
        for (let channel = 0; channel < laneChannels[lane]; channel++) {
          runChannel(lanes[lane][channel], channels[lane][channel], frames)
        }
      }
      flush.advance(frames)
    },
  }
}
