// A dead helper thread is never reused for another chain.

import { setTimeout as after } from 'node:timers/promises'
import { describe, expect, it, vi } from 'vitest'
import { BLOCK_FRAMES } from '../../app/dsp/stage.ts'
import {
  CONTROL_WORDS,
  createSharedStages,
  ENDING,
  FAILED,
  PHASE,
  READY,
  type SharedSound,
} from '../../app/engine/chain/shared-stages.ts'
import { startChainHelper } from '../../app/workers/start-chain-helper.ts'

const started = vi.hoisted(() => ({ threads: 0 }))
vi.mock('node:worker_threads', async (importOriginal) => {
  const original = await importOriginal<typeof import('node:worker_threads')>()
  class CountedWorker extends original.Worker {
    constructor(...words: ConstructorParameters<typeof original.Worker>) {
      super(...words)
      started.threads++
    }
  }
  return { ...original, Worker: CountedWorker }
})

const sharedDoubles = (length: number) => new Float64Array(new SharedArrayBuffer(8 * length))

function sound(): SharedSound {
  const setups: SharedSound['setups'] = [
    { kind: 'low-cut', settings: { frequencyHz: 80, slopeDbPerOctave: 24 } },
  ]
  const layout = { sampleRateHz: 48_000, laneChannels: [1] }
  const rings = [[sharedDoubles(4 * BLOCK_FRAMES)]]
  return {
    setups,
    layout,
    rings,
    control: new Int32Array(new SharedArrayBuffer(4 * CONTROL_WORDS)),
    memory: sharedDoubles(createSharedStages(setups, layout, rings, null).memoryLength),
    measured: null,
  }
}

const phaseOf = ({ control }: SharedSound): number => Atomics.load(control, PHASE)

function end({ control }: SharedSound, release: (() => void) | null): void {
  Atomics.store(control, PHASE, ENDING)
  Atomics.notify(control, PHASE)
  release?.()
}

/** Starts a chain without ring buffers, which crashes its helper. */
async function loseHelper(): Promise<(() => void) | null> {
  const broken = { ...sound(), rings: [] }
  const release = startChainHelper(broken)
  await vi.waitFor(() => expect(phaseOf(broken)).toBe(FAILED), { timeout: 20_000 })
  return release
}

describe('a chain that starts after a helper has crashed', () => {
  it.each([
    ['right after the crash', 0],
    ['once the thread has exited', 500],
  ])('gets a live helper %s', async (_, laterMs) => {
    const release = await loseHelper()
    await after(laterMs)
    release?.()
    const next = sound()
    const releaseNext = startChainHelper(next)
    await vi.waitFor(() => expect(phaseOf(next)).toBe(READY), { timeout: 20_000 })
    end(next, releaseNext)
  })
})

it('reuses a helper whose chain has ended', async () => {
  const threads: number[] = []
  for (const one of [sound(), sound()]) {
    const release = startChainHelper(one)
    await vi.waitFor(() => expect(phaseOf(one)).toBe(READY), { timeout: 20_000 })
    threads.push(started.threads)
    end(one, release)
  }
  expect(threads[0]).toBeGreaterThan(0)
  expect(threads[1]).toBe(threads[0])
})
