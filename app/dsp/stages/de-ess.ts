// The de-esser: a dynamic high shelf or bell that cuts while the sibilant band outweighs the voice
// in the same moment (sibilance-bands.ts).
//
// Each dB of the ratio over the threshold gives one dB of reduction, with a knee of 4 dB, up to
// the range. The ballistics work in dB: attack 1.5 ms, hold 5 ms, release of the whole range
// in 60 ms, with a look-ahead of 4 ms so that the cut is in place when the s begins.
// A sibilant that is softer than the voice's hot ones so far by more than 6 dB is reduced less, by what
// it is softer beyond that, so that soft words do not lisp. Only levels of the same voice are compared, so
// that the level into the stage does not matter.
// In a chain that groups share, each group is listened to by itself, and the leader becomes their sum.
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
import {
  designDeEss,
  KNEE_DB,
  SECTION_Q,
  SOFT_GRACE_DB,
  SPARED_PER_DB,
  UNTOUCHED_DB,
} from './de-ess-design.ts'
import type { DeEssSettings } from './settings.ts'
import { createSibilanceDetector } from './sibilance-detector.ts'

/** Rows of coefficients of a section that moves, and doubles from one to the next. */
const SECTION_ROWS = 7
const SECTION_ROW = BLOCK_FRAMES + 8
const FLUSH_EVERY_FRAMES = 512

/**
 * @param trace receives the reduction of the sibilant band for each frame of a block in dB, 0 or more, at the frames
 * that come out; where the layout has several groups, that of the last
 * @returns the de-esser; its latency is the look-ahead
 */
export function createDeEss(
  settings: DeEssSettings,
  layout: StageLayout,
  trace: Float64Array | null = null,
): Stage {
  const { laneChannels, sampleRateHz, groupOfLane } = layout
  const { shape, thresholdDb, rangeDb } = settings
  const design = designDeEss(settings, sampleRateHz)
  const { latencySamples, holdFrames, attackA, releaseDb, untouchedRatio } = design
  const g = warp(design.sectionHz, sampleRateHz)

  const rows = createWorkRows()
  const leaderChannels = laneChannels[0]
  const control = rows.row(BLOCK_FRAMES)
  const hotness = rows.row(BLOCK_FRAMES)
  // The ballistics kernel writes the frames with reduction behind its state: the first and the one after the last.
  const stateRow = rows.row(4)
  const stateView = viewOf(stateRow, 4)
  const restRow = rows.row(4)
  const section = rows.row(SECTION_ROWS * SECTION_ROW)
  /** A channel's history, then its block: reading from the start delays it. */
  const sound = rows.row(latencySamples + BLOCK_FRAMES)

  /** Every group is listened to by itself; where the layout names none, the leader is the only one. */
  const groups = (groupOfLane === undefined ? [0] : groupLanesOf(groupOfLane)).map((lane) => ({
    lane,
    detector: createSibilanceDetector(leaderChannels, sampleRateHz, untouchedRatio, rows),
    // Reduction in dB, and frames of hold that remain.
    ballistics: new Float64Array(2),
    lanes: laneChannels.flatMap((_, k) => (groupOfLane === undefined || groupOfLane[k] === lane ? [k] : [])),
  }))
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
  function runControl(
    { detector, ballistics }: (typeof groups)[number],
    sound: Channels,
    frames: number,
  ): number {
    detector.run(sound, control, hotness, frames)
    const isAsked = kernels.writeStaticReductions(control, frames, untouchedRatio, thresholdDb, 1, KNEE_DB)
    if (isAsked === 0 && ballistics[0] === 0) {
      ballistics[1] = holdFrames
      return 0
    }
    if (isAsked === 1) kernels.spareSoft(control, hotness, frames, rangeDb, SOFT_GRACE_DB, SPARED_PER_DB)
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
      ...groups.flatMap(({ detector, ballistics }) => [...detector.memory, ballistics]),
      ...channels.flat().flatMap(({ state, waiting }) => [state, waiting]),
      flush.memory,
    ],
    get reductionDb() {
      return reductionDb
    },
    process(lanes, frames) {
      reductionDb = 0
      for (let g = 0; g < groups.length; g++) {
        const group = groups[g]
        const greatestDb = runControl(group, lanes[group.lane], frames)
        if (greatestDb > reductionDb) reductionDb = greatestDb
        const isTouched = greatestDb > 0
        if (!isTouched) trace?.fill(0, 0, frames)
        else if (trace !== null) copyOut(control, trace, frames)
        first = isTouched ? stateView[2] | 0 : frames
        past = isTouched ? stateView[3] | 0 : frames
        if (isTouched) designSection(first, past)
        copyIn(atRest, restRow, 4)
        for (let k = 0; k < group.lanes.length; k++) {
          const lane = group.lanes[k]
          for (let channel = 0; channel < laneChannels[lane]; channel++) {
            runChannel(lanes[lane][channel], channels[lane][channel], frames)
          }
        }
      }
      if (groupOfLane !== undefined) {
        for (let channel = 0; channel < leaderChannels; channel++) {
          lanes[0][channel].fill(0, 0, frames)
          for (let g = 0; g < groups.length; g++)
            addSamples(lanes[groups[g].lane][channel], lanes[0][channel], frames)
        }
      }
      flush.advance(frames)
    },
  }
}

/** @returns the lanes of the groups, 1 to the greatest that a lane is part of */
const groupLanesOf = (groupOfLane: readonly number[]): number[] =>
  Array.from({ length: Math.max(...groupOfLane) }, (_, k) => k + 1)

function addSamples(from: Float64Array, to: Float64Array, frames: number): void {
  for (let i = 0; i < frames; i++) to[i] += from[i]
}
