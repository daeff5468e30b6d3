// The ceiling in front of the ears: -1 dBFS is 10^(-1/20) = 0.891251 of full scale.

import { describe, expect, it } from 'vitest'
import { createCeilingGuard } from '../../../renderer/playback/ceiling-guard.ts'

const RATE = 48_000
const LIMIT = 10 ** (-1 / 20)

/** Runs a programme of one or two channels through a guard in blocks of 128. */
function guarded(left: Float32Array, right = left.slice()) {
  const guard = createCeilingGuard(RATE)
  const out = [left.slice(), right.slice()] as const
  for (let i = 0; i < left.length; i += 128) {
    guard.process(out[0].subarray(i, i + 128), out[1].subarray(i, i + 128))
  }
  return out
}

const peakOf = (samples: Float32Array): number => samples.reduce((peak, x) => Math.max(peak, Math.abs(x)), 0)

describe('the ceiling guard', () => {
  it('is bit-transparent for a full band of sound below -1 dBFS', () => {
    const quiet = Float32Array.from({ length: 9600 }, (_, i) => 0.891 * Math.sin(i * i * 0.0003))
    const [left] = guarded(quiet)
    expect(left).toEqual(quiet)
  })

  const hostile: Record<string, (i: number) => number> = {
    'a square wave at +20 dBFS': (i) => (i % 200 < 100 ? 10 : -10),
    'single-sample clicks at +40 dBFS': (i) => (i % 977 === 0 ? 100 : 0),
    'full-scale noise': (i) => ((i * 48_271) % 65_537) / 32_768 - 1,
    'a sine rising to +30 dBFS': (i) => Math.sin(i * 0.13) * 10 ** ((i / 9600) * 1.5),
    'damage: NaN, infinity and 1e30': (i) => [Number.NaN, Number.POSITIVE_INFINITY, -1e30, 0.5][i % 4],
  }
  for (const [name, value] of Object.entries(hostile)) {
    it(`lets no sample of ${name} above -1 dBFS`, () => {
      const [left, right] = guarded(Float32Array.from({ length: 9600 }, (_, i) => value(i)))
      expect(peakOf(left)).toBeLessThanOrEqual(LIMIT)
      expect(peakOf(right)).toBeLessThanOrEqual(LIMIT)
      expect(left.every(Number.isFinite)).toBe(true)
    })
  }

  it('turns both channels down together, so that the image stays', () => {
    const loud = Float32Array.from({ length: 4800 }, (_, i) => 2 * Math.sin(i * 0.05))
    const soft = loud.map((x) => x / 4)
    const [left, right] = guarded(loud, soft)
    for (let i = 0; i < 4800; i++) {
      if (Math.abs(right[i] * 4 - left[i]) > 1e-6) expect.fail(`channels part at ${i}`)
    }
  })

  it('takes no more than it has to: a loud sine comes out at the ceiling, and hardly flattened', () => {
    const loud = Float32Array.from({ length: 9600 }, (_, i) => 2 * Math.sin(i * 0.05))
    const settled = guarded(loud)[0].subarray(4800)
    expect(peakOf(settled)).toBeGreaterThan(0.99 * LIMIT)
    const flattened = settled.filter((x) => Math.abs(x) > 0.999 * peakOf(settled)).length
    expect(flattened / settled.length).toBeLessThan(0.15)
    // The gain falls no faster than the sound rises: no step is bigger than the sine's own.
    const steepest = settled.reduce(
      (most, x, i) => Math.max(most, i === 0 ? 0 : Math.abs(x - settled[i - 1])),
      0,
    )
    expect(steepest).toBeLessThanOrEqual(2 * 0.05)
  })

  it('comes back to exactly unity once the loud part is over', () => {
    const samples = Float32Array.from(
      { length: 2 * RATE },
      (_, i) => (i < 4800 ? 3 : 0.4) * Math.sin(i * 0.05),
    )
    const [left] = guarded(samples)
    expect(left.subarray(RATE * 1.5)).toEqual(samples.subarray(RATE * 1.5))
  })
})
