// The stages in the middle of a chain, run block by block over sound in memory shared by two threads.
// Either thread can run them, and one can take over from the other: the state of the stages is copied,
// and the samples are the same as without the change of thread.

import type { StageSetup } from '../../contract/render-plan.ts'
import { BLOCK_FRAMES, type Channels, type StageLayout } from '../../dsp/stage.ts'
import { createMeasuredChain, type MeasuredPart } from './measured-chain.ts'

/** Everything the two threads share. */
export interface SharedSound {
  readonly setups: readonly StageSetup[]
  readonly layout: StageLayout
  /** Indexed by the constants below. */
  readonly control: Int32Array<SharedArrayBuffer>
  /** Ring buffers of the latest blocks of each channel of each lane. */
  readonly rings: readonly (readonly Float64Array<SharedArrayBuffer>[])[]
  /** Frames done and the state of the stages, while they move from one thread to the other. */
  readonly memory: Float64Array<SharedArrayBuffer>
  /** Its levels are in shared memory too; null measures nothing. */
  readonly measured: MeasuredPart | null
}

/** Indices into `control`. Frame counts are 32-bit and may wrap, so only their differences are used. */
export const WRITTEN_FRAMES = 0
/** Frames that the shared stages have run. */
export const DONE_FRAMES = 1
/** One of the phases below. */
export const PHASE = 2
/** 1 while the helper sleeps until more is written. */
export const HELPER_SLEEPS = 3
/** 1 while the owner sleeps until WANTED_FRAMES are done. */
export const OWNER_SLEEPS = 4
/** Frames that the owner waits for. */
export const WANTED_FRAMES = 5
/** Length of `control`. */
export const CONTROL_WORDS = 6

/** Phases of the helper: its thread is starting. */
export const COMING = 0
/** It waits for the stages. */
export const READY = 1
/** It runs the stages. */
export const RUNNING = 2
/** It has failed; its thread is not used again. */
export const FAILED = 3
/** The owner has ended it. */
export const ENDING = 4

interface SharedStages {
  readonly latencySamples: number
  /** Number of doubles that `save` needs. */
  readonly memoryLength: number
  /** Views of the rings, block by block. */
  readonly blocks: readonly (readonly Channels[])[]
  /** Frames that have been run, a multiple of BLOCK_FRAMES. */
  readonly doneFrames: number
  /** Runs the next block, in place. */
  runBlock(): void
  /** `save` copies the frames done and the state of the stages into `memory`; `restore` copies them back. */
  save(memory: Float64Array): void
  restore(memory: Float64Array): void
}

/** The shared stages as one of the two threads sees them. */
export function createSharedStages(
  setups: readonly StageSetup[],
  layout: StageLayout,
  rings: SharedSound['rings'],
  measured: MeasuredPart | null,
): SharedStages {
  const chain = createMeasuredChain(setups, layout, measured)
  const ringBlocks = rings[0][0].length / BLOCK_FRAMES
  const blocks: (readonly Channels[])[] = Array.from({ length: ringBlocks }, (_, block) =>
    rings.map((channels) =>
      channels.map((ring) => ring.subarray(block * BLOCK_FRAMES, (block + 1) * BLOCK_FRAMES)),
    ),
  )
  let doneFrames = 0
  return {
    latencySamples: chain.latencySamples,
    blocks,
    memoryLength: chain.memory.reduce((sum, part) => sum + part.length, 1),
    get doneFrames() {
      return doneFrames
    },
    runBlock() {
      chain.process(blocks[(doneFrames / BLOCK_FRAMES) % ringBlocks], BLOCK_FRAMES)
      doneFrames += BLOCK_FRAMES
    },
    save(memory) {
      memory[0] = doneFrames
      let at = 1
      for (const part of chain.memory) {
        memory.set(part, at)
        at += part.length
      }
    },
    restore(memory) {
      doneFrames = memory[0]
      let at = 1
      for (const part of chain.memory) {
        part.set(memory.subarray(at, at + part.length))
        at += part.length
      }
    },
  }
}
