// A chain on two threads: its owner reads and runs the first stages, a helper runs those in the
// middle (shared-stages.ts), and the owner the last ones. The samples are the same as on one thread,
// whichever thread runs a stage and however fast: the output of a stage does not depend on the block
// sizes, and the owner runs the middle itself until the helper is ready.

import type { StageSetup } from '../../contract/render-plan.ts'
import { BLOCK_FRAMES, type Channels, type StageLayout } from '../../dsp/stage.ts'
import { shareOf } from './chain-share.ts'
import { type ChainLevels, createMeasuredChain } from './measured-chain.ts'
import {
  CONTROL_WORDS,
  createSharedStages,
  DONE_FRAMES,
  ENDING,
  FAILED,
  HELPER_SLEEPS,
  OWNER_SLEEPS,
  PHASE,
  READY,
  RUNNING,
  type SharedSound,
  WANTED_FRAMES,
  WRITTEN_FRAMES,
} from './shared-stages.ts'

/**
 * Blocks of each channel in the ring between the threads. The last stages lag half the ring behind
 * the first ones: a few milliseconds of work, so that neither thread stalls while the system has
 * preempted the other.
 */
const RING_BLOCKS = 64
/** With more channels than this the ring is a quarter as long, to save memory. */
const FULL_RING_CHANNELS = 8
/** Longest sleep before checking whether the helper still makes progress. */
const NAP_MS = 1000
/** A helper without progress for this many sleeps in a row counts as dead. */
const MAX_NAPS = 60

/**
 * Starts a thread that calls `helpWithChain`, and returns a function that releases the thread when the
 * chain has ended. Returns null while no thread is available; it is then called again for each block.
 */
export type StartHelper = (shared: SharedSound) => (() => void) | null

/** A chain on two threads. */
export interface SplitChain {
  /** Latency of the stages plus the lag of the last ones. */
  readonly latencySamples: number
  /** As for a stage: every lane in place, at most BLOCK_FRAMES. */
  process(lanes: readonly Channels[], frames: number): void
  /** Ends the helper; safe to call when it has already ended. */
  close(): void
}

/** How a chain is split and measured. */
export interface SplitOptions {
  /** Approximate cost of the owner's work outside the chain, ns per frame. */
  readonly besideNs: number
  /** null: one thread runs everything. */
  readonly startHelper: StartHelper | null
  /** Where to measure the sound's levels, and how long it is. */
  readonly measured: { readonly levels: ChainLevels; readonly frames: number } | null
}

/** Levels that every thread can write to. */
export function sharedLevels(stages: number): ChainLevels {
  return { powers: sharedDoubles(stages + 1), reductionsDb: sharedDoubles(stages) }
}

const sharedDoubles = (length: number): Float64Array<SharedArrayBuffer> =>
  new Float64Array(new SharedArrayBuffer(8 * length))

/** @param layout of the whole chain; the samples are those of `createChain` */
export function createSplitChain(
  setups: readonly StageSetup[],
  layout: StageLayout,
  { besideNs, startHelper, measured }: SplitOptions,
): SplitChain {
  const { from, to } = shareOf(setups, layout, besideNs)
  const part = (firstStage: number, lateFrames: number) =>
    measured === null ? null : { ...measured, firstStage, lateFrames }

  // Joint 0 is measured by the part that the first stage is in.
  const isMiddleFirst = from === 0 && to > 0
  const first = createMeasuredChain(setups.slice(0, from), layout, isMiddleFirst ? null : part(0, 0))
  if (from === to) {
    return { latencySamples: first.latencySamples, process: first.process, close() {} }
  }
  const channelCount = layout.laneChannels.reduce((sum, channels) => sum + channels, 0)
  const ringFrames = (channelCount > FULL_RING_CHANNELS ? RING_BLOCKS / 4 : RING_BLOCKS) * BLOCK_FRAMES
  const lagFrames = ringFrames / 2
  /** A thread that has to wait sleeps until this much is available, because waking takes a while. */
  const napFrames = ringFrames / 8
  const rings = layout.laneChannels.map((channels) =>
    Array.from({ length: channels }, () => sharedDoubles(ringFrames)),
  )
  const middleSetups = setups.slice(from, to)
  const middlePart = part(from, first.latencySamples)
  const middle = createSharedStages(middleSetups, layout, rings, middlePart)
  const lateFrames = first.latencySamples + middle.latencySamples
  const last = createMeasuredChain(setups.slice(to), layout, part(to, lateFrames))

  const control = new Int32Array(new SharedArrayBuffer(4 * CONTROL_WORDS))
  const memory = sharedDoubles(middle.memoryLength)
  const shared: SharedSound = {
    setups: middleSetups,
    layout,
    control,
    rings,
    memory,
    measured: middlePart,
  }
  let endHelper: (() => void) | null = null
  const late = layout.laneChannels.map((channels) =>
    Array.from({ length: channels }, () => new Float64Array(BLOCK_FRAMES)),
  )
  let writtenFrames = 0
  let isHelped = false

  function write(lanes: readonly Channels[], frames: number): void {
    const at = writtenFrames % ringFrames
    const fits = Math.min(frames, ringFrames - at)
    for (let lane = 0; lane < rings.length; lane++) {
      for (let channel = 0; channel < rings[lane].length; channel++) {
        const samples = lanes[lane][channel]
        const ring = rings[lane][channel]
        ring.set(samples.length === fits ? samples : samples.subarray(0, fits), at)
        if (fits < frames) ring.set(samples.subarray(fits, frames), 0)
      }
    }
    writtenFrames += frames
    Atomics.store(control, WRITTEN_FRAMES, writtenFrames)
  }

  /** Reads frames of the ring into `lanes` from index 0. */
  function read(lanes: readonly Channels[], fromFrame: number, frames: number): void {
    const at = fromFrame % ringFrames
    const block = at / BLOCK_FRAMES
    const isWhole = frames === BLOCK_FRAMES && Number.isInteger(block)
    const fits = Math.min(frames, ringFrames - at)
    for (let lane = 0; lane < rings.length; lane++) {
      for (let channel = 0; channel < rings[lane].length; channel++) {
        const ring = rings[lane][channel]
        const samples = lanes[lane][channel]
        samples.set(isWhole ? middle.blocks[block][lane][channel] : ring.subarray(at, at + fits))
        if (fits < frames) samples.set(ring.subarray(0, frames - fits), fits)
      }
    }
  }

  /** Advances the middle stages: runs them here until the helper has taken over, then wakes the helper. */
  function runMiddle(): void {
    endHelper ??= startHelper?.(shared) ?? null
    if (!isHelped && Atomics.load(control, PHASE) === READY) {
      middle.save(memory)
      Atomics.store(control, DONE_FRAMES, middle.doneFrames)
      Atomics.store(control, PHASE, RUNNING)
      Atomics.notify(control, PHASE)
      isHelped = true
    }
    if (!isHelped) {
      while (writtenFrames - middle.doneFrames >= BLOCK_FRAMES) middle.runBlock()
      return
    }
    const pending = (writtenFrames - Atomics.load(control, DONE_FRAMES)) | 0
    if (pending >= napFrames && Atomics.load(control, HELPER_SLEEPS) === 1) {
      Atomics.notify(control, WRITTEN_FRAMES)
    }
  }

  /** Sleeps until the middle stages have reached a frame. */
  function waitFor(frame: number): void {
    for (let naps = 0; naps < MAX_NAPS; ) {
      const done = Atomics.load(control, DONE_FRAMES)
      if (((done - frame) | 0) >= 0) return
      if (Atomics.load(control, PHASE) === FAILED) break
      const wanted = Math.min(frame + napFrames, writtenFrames - (writtenFrames % BLOCK_FRAMES))
      Atomics.store(control, WANTED_FRAMES, wanted)
      Atomics.store(control, OWNER_SLEEPS, 1)
      const outcome = Atomics.wait(control, DONE_FRAMES, done, NAP_MS)
      Atomics.store(control, OWNER_SLEEPS, 0)
      naps = outcome === 'timed-out' && Atomics.load(control, DONE_FRAMES) === done ? naps + 1 : 0
    }
    throw new Error('the helper of a chain has stopped')
  }

  return {
    latencySamples: lateFrames + last.latencySamples + lagFrames,
    process(lanes, frames) {
      first.process(lanes, frames)
      write(lanes, frames)
      runMiddle()
      // The last stages read what was written one lag ago; before that there is only silence.
      const end = writtenFrames - lagFrames
      const start = Math.max(0, end - frames)
      const count = end - start
      if (count === frames) {
        if (isHelped) waitFor(end)
        read(lanes, start, frames)
        last.process(lanes, frames)
        return
      }
      for (const lane of lanes) for (const samples of lane) samples.fill(0, 0, frames)
      if (count <= 0) return
      if (isHelped) waitFor(end)
      read(late, start, count)
      last.process(late, count)
      for (let lane = 0; lane < late.length; lane++) {
        for (let channel = 0; channel < late[lane].length; channel++) {
          lanes[lane][channel].set(late[lane][channel].subarray(0, count), frames - count)
        }
      }
    },
    close() {
      // A failed helper stays marked as failed, so that its thread is not used again.
      let phase = Atomics.load(control, PHASE)
      while (phase !== FAILED && phase !== ENDING) {
        Atomics.compareExchange(control, PHASE, phase, ENDING)
        phase = Atomics.load(control, PHASE)
      }
      Atomics.notify(control, PHASE)
      Atomics.notify(control, WRITTEN_FRAMES)
      endHelper?.()
    },
  }
}
