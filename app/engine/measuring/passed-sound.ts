// The sound at one joint on its way from the thread that runs the stages before it to the one that runs those after
// it. It lies whole in shared memory, so that the first thread never waits: the second may still be busy elsewhere.

import { BLOCKS_PER_SECOND } from '../../dsp/meters/equal-loudness.ts'
import { BLOCK_FRAMES, type Channels } from '../../dsp/stage.ts'

/** Of a take and its tail; longer sound is not passed on. */
const MAX_BYTES = 256 * 1024 * 1024
/** More than the latency of any chain. */
const TAIL_SECONDS = 1
/** How often a waiting thread looks whether it is cancelled. */
const LOOK_MS = 50

/** Indices of `state`. */
const FRAMES = 0
const LATENCY = 1
const ACTIVE_BLOCKS = 2
const UNKNOWN = -1

/** Written by one thread while another reads it. */
export interface PassedSound {
  /** One array per channel: doubles, so that every figure is that of a single thread. */
  readonly signal: readonly Float64Array<SharedArrayBuffer>[]
  /** Which blocks of BLOCK_FRAMES are loud at the chain's input; each is known before its sound is passed. */
  readonly loud: Uint8Array<SharedArrayBuffer>
  /** Which 100 ms blocks are active at the chain's input; known at the end. */
  readonly active: Uint8Array<SharedArrayBuffer>
  readonly state: Int32Array<SharedArrayBuffer>
}

/** Room for a take's sound; null where the take is too long. */
export function createPassedSound(
  channels: number,
  frames: number,
  sampleRateHz: number,
): PassedSound | null {
  const length = frames + TAIL_SECONDS * sampleRateHz
  if (8 * channels * length > MAX_BYTES) return null
  const marks = (count: number) => new Uint8Array(new SharedArrayBuffer(Math.ceil(count)))
  return {
    signal: Array.from({ length: channels }, () => new Float64Array(new SharedArrayBuffer(8 * length))),
    loud: marks(frames / BLOCK_FRAMES),
    active: marks((length * BLOCKS_PER_SECOND) / sampleRateHz),
    state: new Int32Array(new SharedArrayBuffer(12)).fill(UNKNOWN, LATENCY),
  }
}

const lengthOf = ({ signal }: PassedSound): number => signal[0].length

/** The first thread's end. */
export interface SoundSender {
  /** Frames that are passed in all; those after the sound are its tail. */
  readonly length: number
  /** Passes the next frames. */
  send(block: Channels, frames: number): void
  /** Says which blocks are active, before the last frames are passed. */
  markActive(active: Uint8Array): void
}

/** @param latencySamples of the stages before the joint */
export function createSoundSender(passed: PassedSound, latencySamples: number): SoundSender {
  const { signal, state } = passed
  let at = 0
  Atomics.store(state, LATENCY, latencySamples)
  return {
    length: lengthOf(passed),
    send(block, frames) {
      for (let c = 0; c < signal.length; c++) {
        const to = signal[c]
        const from = block[c]
        for (let i = 0; i < frames; i++) to[at + i] = from[i]
      }
      at += frames
      // Stored last, so that whoever sees the frames also sees their samples.
      Atomics.store(state, FRAMES, at)
      Atomics.notify(state, FRAMES)
    },
    markActive(active) {
      passed.active.set(active)
      Atomics.store(state, ACTIVE_BLOCKS, active.length)
    },
  }
}

/** The second thread's end. Every call waits for the first thread. */
export interface SoundReceiver {
  /** Latency of the stages before the joint. */
  latencySamples(): number
  receive(at: number, frames: number, into: Channels): void
  active(): Uint8Array
}

/** @param whileWaiting called from time to time; throws to stop */
export function createSoundReceiver(passed: PassedSound, whileWaiting: () => void): SoundReceiver {
  const { signal, state } = passed
  const waitFor = (frames: number): void => {
    for (;;) {
      const there = Atomics.load(state, FRAMES)
      if (there >= frames) return
      Atomics.wait(state, FRAMES, there, LOOK_MS)
      whileWaiting()
    }
  }
  return {
    latencySamples() {
      waitFor(1)
      return Atomics.load(state, LATENCY)
    },
    receive(at, frames, into) {
      waitFor(Math.min(at + frames, lengthOf(passed)))
      for (let c = 0; c < signal.length; c++) {
        const from = signal[c]
        const to = into[c]
        for (let i = 0; i < frames; i++) to[i] = at + i < from.length ? from[at + i] : 0
      }
    },
    active() {
      waitFor(lengthOf(passed))
      return passed.active.slice(0, Atomics.load(state, ACTIVE_BLOCKS))
    },
  }
}
