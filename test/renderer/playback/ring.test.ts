// The ring between the window and the audio thread: wrap-around, overwriting, and that
// no way of using it leaves a jump.

import { describe, expect, it } from 'vitest'
import {
  createRing,
  createRingWriter,
  framesAhead,
  openRing,
  RING_CHANNELS,
  WORD,
} from '../../../renderer/playback/ring.ts'

const RATE = 48_000

/** A planar block whose sample at stream frame n of channel c is value(n, c). */
function block(at: number, frames: number, value: (frame: number, channel: number) => number): Float32Array {
  const samples = new Float32Array(RING_CHANNELS * frames)
  for (let channel = 0; channel < RING_CHANNELS; channel++) {
    for (let i = 0; i < frames; i++) samples[channel * frames + i] = value(at + i, channel)
  }
  return samples
}

const setUp = () => {
  const ring = createRing(RATE)
  const writer = createRingWriter(ring, RATE)
  return {
    ring,
    writer,
    write: (at: number, frames: number, value: (frame: number, channel: number) => number) =>
      writer.write(at, block(at, frames, value), frames),
    read: (frames: number) => Atomics.add(ring.words, WORD.read, frames),
    at: (frame: number, channel = 0) => ring.planes[channel][frame & (ring.frames - 1)],
  }
}

const biggestStep = (at: (frame: number) => number, from: number, to: number): number => {
  let step = 0
  for (let frame = from + 1; frame < to; frame++) step = Math.max(step, Math.abs(at(frame) - at(frame - 1)))
  return step
}

describe('the playback ring', () => {
  it('holds at least four seconds in a power of two of frames', () => {
    for (const rate of [44_100, 48_000, 88_200, 96_000]) {
      const { frames } = createRing(rate)
      expect(frames).toBeGreaterThanOrEqual(4 * rate)
      expect(Math.log2(frames) % 1).toBe(0)
    }
  })

  it('gives back every frame of every channel across many turns, seen from the other thread', () => {
    const { ring, writer, write } = setUp()
    const other = openRing(ring.shared)
    const value = (frame: number, channel: number) => Math.fround(Math.sin(frame * 0.37 + channel))
    let next = 0
    for (let turn = 0; turn < 280; turn++) {
      while (framesAhead(ring) < 12_000) {
        write(writer.writtenFrame, 2399, value)
      }
      for (let i = 0; i < 3000; i++, next++) {
        for (let channel = 0; channel < RING_CHANNELS; channel++) {
          const got = other.planes[channel][next & (other.frames - 1)]
          if (got !== value(next, channel)) expect.fail(`frame ${next} of channel ${channel} is ${got}`)
        }
      }
      Atomics.add(other.words, WORD.read, 3000)
    }
    expect(writer.readFrame).toBe(840_000)
    expect(next).toBeGreaterThan(3 * ring.frames)
  })

  it('counts on past 2^31 frames of a stream, which is twelve hours', () => {
    const ring = createRing(RATE)
    const nearly = 2 ** 31 - 1000
    Atomics.store(ring.words, WORD.read, nearly)
    Atomics.store(ring.words, WORD.written, nearly)
    const writer = createRingWriter(ring, RATE)
    writer.write(
      nearly,
      block(nearly, 2400, (frame) => frame - nearly),
      2400,
    )
    expect(framesAhead(ring)).toBe(2400)
    Atomics.store(ring.words, WORD.read, (nearly + 1200) | 0)
    expect(writer.readFrame).toBe(nearly + 1200)
    expect(ring.planes[3][(nearly + 2399) & (ring.frames - 1)]).toBe(2399)
  })

  it('blends from the old to the new over 20 ms, without a step bigger than a raised cosine has', () => {
    const { writer, write, at } = setUp()
    write(0, 12_000, () => 0.5)
    write(2000, 12_000, () => -0.5)
    expect(at(1999)).toBe(0.5)
    expect(at(2000 + writer.fadeFrames)).toBe(-0.5)
    expect(at(2000 + writer.fadeFrames / 2)).toBeCloseTo(0, 2)
    // Steepest slope of 0.5 - 0.5 cos(pi x / N) is pi / 2N, here over a difference of 1.
    expect(biggestStep(at, 1900, 3000)).toBeLessThanOrEqual(Math.PI / (2 * writer.fadeFrames))
    expect(writer.fadeFrames / RATE).toBeGreaterThanOrEqual(0.01)
    expect(writer.fadeFrames / RATE).toBeLessThanOrEqual(0.03)
    expect(writer.writtenFrame).toBe(14_000)
  })

  it('blends back to older sound that reaches further, and is whole again once the next block came', () => {
    const { writer, write, at } = setUp()
    const fade = writer.fadeFrames
    write(0, 12_000, () => 0.5)
    write(2000, 3000, () => -0.5)
    expect(writer.writtenFrame).toBe(12_000)
    expect(at(5000)).toBe(0.5)
    expect(biggestStep(at, 0, 12_000)).toBeLessThanOrEqual(Math.PI / (2 * fade))
    // The next block takes up where the blend back began, and nothing of it remains.
    writer.write(
      5000 - fade,
      block(5000 - fade, 9000, () => -0.5),
      9000,
      true,
    )
    for (let frame = 2000 + fade; frame < 13_000; frame++) {
      if (at(frame) !== -0.5) expect.fail(`frame ${frame} still holds some of the old sound`)
    }
    expect(biggestStep(at, 1900, 13_000)).toBeLessThanOrEqual(Math.PI / (2 * fade))
  })

  it('leaves frames alone that are read already, or within 10 ms', () => {
    const { write, read, at } = setUp()
    write(0, 12_000, () => 0.5)
    read(4000)
    write(3000, 6000, () => -0.5)
    for (let frame = 0; frame < 4480; frame++) {
      if (at(frame) !== 0.5) expect.fail(`frame ${frame} was changed under the reader`)
    }
    expect(at(6000)).toBe(-0.5)
    expect(biggestStep(at, 0, 12_000)).toBeLessThanOrEqual(Math.PI / (2 * 960))
    // A block that comes too late altogether changes nothing.
    read(4000)
    write(3000, 2000, () => 0)
    expect(at(3500)).toBe(0.5)
  })

  it('refuses gaps, and blocks that reach round to unread frames', () => {
    const { ring, write } = setUp()
    expect(() => write(1, 100, () => 0)).toThrow(RangeError)
    write(0, ring.frames, () => 0)
    expect(() => write(ring.frames, 1, () => 0)).toThrow(RangeError)
  })

  it('starts anew where the reader stands', () => {
    const { ring, writer, write, read } = setUp()
    write(0, 5000, () => 0.5)
    read(1000)
    writer.restart()
    expect(framesAhead(ring)).toBe(0)
    expect(writer.writtenFrame).toBe(1000)
  })
})
