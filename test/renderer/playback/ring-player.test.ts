// What reaches the ears: gains that never jump, fades at start, stop and where the ring
// runs dry, and exact samples while all gains are at rest at 0 dB.

import { describe, expect, it } from 'vitest'
import { METER } from '../../../renderer/playback/live-meter.ts'
import { createRing, createRingWriter, GAIN, RING_CHANNELS, WORD } from '../../../renderer/playback/ring.ts'
import { createRingPlayer } from '../../../renderer/playback/ring-player.ts'

const RATE = 48_000
const QUANTUM = 128

type Value = (frame: number, channel: number) => number
const half: Value = () => 0.5

function setUp(value: Value, { level = 1, mix = 0 } = {}) {
  const ring = createRing(RATE)
  const writer = createRingWriter(ring, RATE)
  ring.gains[GAIN.level] = level
  ring.gains[GAIN.mix] = mix
  ring.gains[GAIN.matchDry] = 1
  ring.gains[GAIN.matchProcessed] = 1
  const player = createRingPlayer(ring, RATE)
  const fill = (frames: number): void => {
    const at = writer.writtenFrame
    const block = new Float32Array(RING_CHANNELS * frames)
    for (let channel = 0; channel < RING_CHANNELS; channel++) {
      for (let i = 0; i < frames; i++) block[channel * frames + i] = value(at + i, channel)
    }
    writer.write(at, block, frames)
  }
  const left = new Float32Array(QUANTUM)
  const right = new Float32Array(QUANTUM)
  /** Runs some quanta, calling `before` ahead of each. */
  const run = (quanta: number, before: (quantum: number) => void = () => {}) => {
    const out = { left: [] as number[], right: [] as number[] }
    for (let quantum = 0; quantum < quanta; quantum++) {
      before(quantum)
      player.process(left, right)
      out.left.push(...left)
      out.right.push(...right)
    }
    return out
  }
  const word = (place: number, value?: number) =>
    value === undefined ? Atomics.load(ring.words, place) : Atomics.store(ring.words, place, value)
  const feed = () => {
    while (writer.writtenFrame - writer.readFrame < 12_000) fill(2400)
  }
  return { ring, writer, fill, feed, run, word }
}

const biggestStep = (samples: readonly number[]): number => {
  let step = 0
  for (let i = 1; i < samples.length; i++) step = Math.max(step, Math.abs(samples[i] - samples[i - 1]))
  return step
}

/** Steepest step of the fade of 10 ms over a constant of 0.5. */
const FADE_STEP = 0.5 / (0.01 * RATE) + 1e-7

describe('the ring player', () => {
  it('fades in over 10 ms and then gives the samples as they are, at 0 dB', () => {
    const value: Value = (frame, channel) => Math.fround(0.5 * Math.sin(frame * 0.1 + channel))
    const { run, feed, word } = setUp(value)
    feed()
    word(WORD.running, 1)
    const { left, right } = run(80, feed)
    expect(Math.abs(left[0])).toBeLessThan(FADE_STEP)
    for (let i = 480; i < left.length; i++) {
      if (left[i] !== value(i, 0) || right[i] !== value(i, 1)) expect.fail(`frame ${i} is not as it was fed`)
    }
  })

  it('gives the processed side when asked, also bit for bit', () => {
    const { run, feed, word } = setUp((_, channel) => [0, 0, 0.25, -0.25][channel], { mix: 1 })
    feed()
    word(WORD.running, 1)
    const { left, right } = run(20, feed)
    expect(left.at(-1)).toBe(0.25)
    expect(right.at(-1)).toBe(-0.25)
  })

  it('moves gains by less than 1/600 of the way per sample, and is there in 50 ms', () => {
    // One pole of 12.5 ms: the first and biggest step is 1 - exp(-1 / 600) of the way.
    for (const place of [GAIN.level, GAIN.matchDry]) {
      const { ring, run, feed, word } = setUp(half)
      feed()
      word(WORD.running, 1)
      run(20, feed)
      ring.gains[place] = 0.1
      const { left } = run(100, feed)
      expect(biggestStep([0.5, ...left])).toBeLessThanOrEqual((0.5 * 0.9) / 600 + 1e-7)
      expect(Math.abs(left[0.05 * RATE] - 0.05)).toBeLessThan(0.02 * 0.45)
      expect(left.at(-1)).toBe(Math.fround(0.5 * Math.fround(0.1)))
    }
  })

  it('blends dry into processed with equal gain: the same sound on both sides stays as loud', () => {
    const { ring, run, feed, word } = setUp(half)
    feed()
    word(WORD.running, 1)
    run(20, feed)
    ring.gains[GAIN.mix] = 1
    const { left } = run(60, feed)
    for (const sample of left) expect(sample).toBeCloseTo(0.5, 6)
  })

  it('switches between opposite sounds by less than 1/600 of the way per sample', () => {
    const { ring, run, feed, word } = setUp((_, channel) => (channel < 2 ? 0.5 : -0.5))
    feed()
    word(WORD.running, 1)
    run(20, feed)
    ring.gains[GAIN.mix] = 1
    const { left } = run(100, feed)
    expect(biggestStep([0.5, ...left])).toBeLessThanOrEqual(1 / 600 + 1e-7)
    expect(left.at(-1)).toBe(-0.5)
  })

  it('gives processed less dry, both matched, raised, without a jump, and meters it before it is raised', () => {
    const { ring, run, feed, word } = setUp((_, channel) => [0.5, 0.25, 0.4, 0.5][channel], { mix: 1 })
    ring.gains[GAIN.matchDry] = 0.5
    feed()
    word(WORD.running, 1)
    run(20, feed)
    ring.gains[GAIN.change] = 1
    ring.gains[GAIN.changeLift] = 2
    const { left, right } = run(200, feed)
    expect(biggestStep([0.4, ...left])).toBeLessThanOrEqual(0.4 / 600)
    expect(left.at(-1)).toBeCloseTo(2 * (0.4 - 0.5 * 0.5), 6)
    expect(right.at(-1)).toBeCloseTo(2 * (0.5 - 0.5 * 0.25), 6)
    expect(ring.meters[METER.peakRight]).toBe(0.5 - 0.5 * 0.25)
  })

  it('raises the level by at most 10 dB a second, however far it is to go, and lowers it at once', () => {
    const { ring, run, feed, word } = setUp(half, { level: 0.1 })
    feed()
    word(WORD.running, 1)
    run(20, feed)
    ring.gains[GAIN.level] = 1
    const seconds = 2.2
    const { left } = run(Math.ceil((seconds * RATE) / QUANTUM), feed)
    const decibels = (sample: number): number => 20 * Math.log10(sample / 0.5)
    const span = RATE / 100
    for (let i = 0; i + span < left.length; i += span) {
      const risen = decibels(left[i + span]) - decibels(left[i])
      if (risen > 0.1001) expect.fail(`${risen} dB in 10 ms, ${i / RATE} s after the change`)
    }
    // 20 dB take 2 s.
    expect(decibels(left[Math.round(1 * RATE)])).toBeCloseTo(-10, 0)
    expect(left.at(-1)).toBe(0.5)
    ring.gains[GAIN.level] = 0.1
    expect(run(100, feed).left.at(-1)).toBe(Math.fround(0.5 * Math.fround(0.1)))
  })

  it('does not leap after a stop in which the level was raised, nor out of silence', () => {
    for (const first of [0.1, 0]) {
      const { ring, run, feed, word } = setUp(half, { level: first })
      feed()
      word(WORD.running, 1)
      run(20, feed)
      word(WORD.running, 0)
      run(20, feed)
      ring.gains[GAIN.level] = 1
      word(WORD.running, 1)
      const { left } = run(40, feed)
      // 107 ms at 10 dB/s, from the old level or from -60 dB.
      expect(left.at(-1)).toBeLessThanOrEqual(0.5 * Math.max(first, 1e-3) * 10 ** (1.07 / 20) + 1e-7)
      expect(left.at(-1)).toBeGreaterThan(0)
    }
  })

  it('folds to the mean of both sides when asked, without a jump, and is exact again afterwards', () => {
    const { ring, run, feed, word } = setUp((_, channel) => [0.5, -0.25, 0, 0][channel])
    feed()
    word(WORD.running, 1)
    run(20, feed)
    ring.gains[GAIN.mono] = 1
    const mono = run(100, feed)
    expect(mono.left.at(-1)).toBeCloseTo(0.125, 7)
    expect(mono.right.at(-1)).toBe(mono.left.at(-1))
    expect(biggestStep([0.5, ...mono.left])).toBeLessThanOrEqual(0.375 / 600 + 1e-7)
    ring.gains[GAIN.mono] = 0
    const stereo = run(100, feed)
    expect([stereo.left.at(-1), stereo.right.at(-1)]).toEqual([0.5, -0.25])
  })

  it('meters the chosen side before match and level, from the first frame of each start', () => {
    const { ring, run, feed, word } = setUp((_, channel) => [0.5, 0.25, 0.1, 0.1][channel], { level: 0.1 })
    ring.gains[GAIN.matchDry] = 0.5
    feed()
    word(WORD.running, 1)
    run(60, feed)
    expect(ring.meters[METER.peakLeft]).toBeGreaterThan(0.499)
    expect(ring.meters[METER.peakRight]).toBeGreaterThan(0.249)
    expect(ring.meters[METER.peakRight]).toBeLessThan(0.3)
    word(WORD.running, 0)
    run(20, feed)
    ring.gains[GAIN.mix] = 1
    run(1, feed)
    word(WORD.running, 1)
    run(60, feed)
    expect(ring.meters[METER.maxPeak]).toBeLessThan(0.15)
  })

  it('fades out on stop, says when it is silent, and reads no further', () => {
    const { writer, run, feed, word } = setUp(half)
    feed()
    word(WORD.running, 1)
    const sounding = run(20, feed).left
    expect(word(WORD.sounding)).toBe(1)
    word(WORD.running, 0)
    const { left } = run(10)
    expect(biggestStep([...sounding, ...left])).toBeLessThanOrEqual(FADE_STEP)
    expect(left.at(-1)).toBe(0)
    expect(word(WORD.sounding)).toBe(0)
    const read = writer.readFrame
    run(10)
    expect(writer.readFrame).toBe(read)
    expect(word(WORD.underruns)).toBe(0)
  })

  it('fades out before the ring is empty, counts one underrun, and comes back with a fade', () => {
    const { run, fill, feed, word } = setUp(half)
    fill(4000)
    word(WORD.running, 1)
    const dry = run(60).left
    expect(dry.at(-1)).toBe(0)
    expect(word(WORD.underruns)).toBe(1)
    expect(word(WORD.sounding)).toBe(1)
    // A little is not enough to go on with; a quarter of a second is.
    fill(1000)
    const waiting = run(5).left
    expect(waiting.every((sample) => sample === 0)).toBe(true)
    const again = run(40, feed).left
    expect(again.at(-1)).toBe(0.5)
    expect(biggestStep([...dry, ...waiting, ...again])).toBeLessThanOrEqual(FADE_STEP)
    expect(word(WORD.underruns)).toBe(1)
  })

  it('fades out over the end of the material, which is no underrun', () => {
    const { run, fill, word } = setUp(half)
    fill(9001)
    word(WORD.ended, 1)
    word(WORD.running, 1)
    const { left } = run(90)
    expect(biggestStep(left)).toBeLessThanOrEqual(FADE_STEP)
    expect(left.filter((sample) => sample !== 0).length).toBeGreaterThan(9001 - 480 - QUANTUM)
    expect(word(WORD.underruns)).toBe(0)
    expect(word(WORD.sounding)).toBe(0)
  })

  it('is without a jump under any order of feeding, starting and stopping', () => {
    const { run, fill, word, writer } = setUp(half)
    let seed = 1
    const next = (): number => {
      seed = (seed * 48_271) % 2_147_483_647
      return seed / 2_147_483_647
    }
    const { left } = run(4000, () => {
      if (next() < 0.03) word(WORD.running, next() < 0.7 ? 1 : 0)
      if (writer.writtenFrame - writer.readFrame < 12_000 && next() < 0.3) fill(Math.ceil(next() * 700))
    })
    expect(left.some((sample) => sample === 0.5)).toBe(true)
    expect(biggestStep(left)).toBeLessThanOrEqual(FADE_STEP)
  })

  it('starts at the level that is set, without sweeping to it', () => {
    const { ring, run, feed, word } = setUp(half)
    run(2)
    ring.gains[GAIN.level] = 0.1
    run(2)
    feed()
    word(WORD.running, 1)
    const { left } = run(40, feed)
    expect(Math.max(...left)).toBeLessThanOrEqual(0.05 + 1e-7)
  })
})
