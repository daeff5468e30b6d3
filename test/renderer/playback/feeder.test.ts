// How the ring is fed: in order, round a loop, from a moment ahead after a change, and to
// the end. The route is faked by material whose every sample says where it comes from.

import { describe, expect, it } from 'vitest'
import { createFeeder, type Extent } from '../../../renderer/playback/feeder.ts'
import { createRing, createRingWriter, RING_CHANNELS, WORD } from '../../../renderer/playback/ring.ts'

const RATE = 48_000
const MATERIAL: Extent = { startFrame: -1000, frames: 200_000 }

/** Small enough for 32-bit floats to hold each one exactly. */
const sampleAt = (frame: number, setting: number): number => frame / 2 ** 20 + setting

function setUp(start: number, extent = MATERIAL) {
  const ring = createRing(RATE)
  const writer = createRingWriter(ring, RATE)
  const asked: { from: number; frames: number }[] = []
  const state = { setting: 0, hold: null as Promise<void> | null }
  const feeder = createFeeder(writer, RATE, extent, start, async (from, frames, signal) => {
    asked.push({ from, frames })
    const { setting } = state
    await state.hold
    signal.throwIfAborted()
    const block = new Float32Array(RING_CHANNELS * frames)
    for (let channel = 0; channel < RING_CHANNELS; channel++) {
      for (let i = 0; i < frames; i++) {
        block[channel * frames + i] = sampleAt(from + i, setting) * (channel + 1)
      }
    }
    return block
  })
  const at = (frame: number, channel = 0) => ring.planes[channel][frame & (ring.frames - 1)]
  /** Plays to a stream frame and gives what was heard, feeding as it goes. */
  const playTo = async (to: number): Promise<number[]> => {
    const heard: number[] = []
    while (writer.readFrame < to) {
      await feeder.pump()
      const from = writer.readFrame
      const until = Math.min(to, from + 480, writer.writtenFrame)
      if (until === from) break
      for (let frame = from; frame < until; frame++) heard.push(at(frame))
      Atomics.add(ring.words, WORD.read, until - from)
    }
    return heard
  }
  return { ring, writer, feeder, asked, state, at, playTo }
}

const biggestStep = (samples: readonly number[]): number => {
  let step = 0
  for (let i = 1; i < samples.length; i++) step = Math.max(step, Math.abs(samples[i] - samples[i - 1]))
  return step
}

describe('the feeder', () => {
  it('keeps 3 s ahead, which outlasts a window that is busy, asking for each frame once and in order', async () => {
    const { writer, playTo, asked } = setUp(5000, { startFrame: -1000, frames: 600_000 })
    const heard = await playTo(150_000)
    expect(heard).toEqual(Array.from({ length: 150_000 }, (_, i) => Math.fround(sampleAt(5000 + i, 0))))
    let next = 5000
    for (const { from, frames } of asked) {
      expect(from).toBe(next)
      next += frames
    }
    expect(writer.writtenFrame - writer.readFrame).toBeGreaterThanOrEqual(3 * RATE - 480)
    expect(writer.writtenFrame - writer.readFrame).toBeLessThanOrEqual(3.26 * RATE)
  })

  it('starts as soon as 0.3 s are written, and fails to start where the route fails', async () => {
    const { feeder, writer } = setUp(0)
    await feeder.begin()
    expect(writer.writtenFrame).toBeGreaterThanOrEqual(0.3 * RATE)
    expect(writer.writtenFrame).toBeLessThan(1.5 * RATE)
    const broken = createFeeder(createRingWriter(createRing(RATE), RATE), RATE, MATERIAL, 0, () =>
      Promise.reject(new Error('vanished')),
    )
    await expect(broken.begin()).rejects.toThrow('vanished')
  })

  it('renders little anew after a change, with the first spans short, and fills the ring as it plays on', async () => {
    const { feeder, asked, playTo, writer } = setUp(0, { startFrame: 0, frames: 900_000 })
    await playTo(200_000)
    const before = asked.length
    void feeder.redirect()
    await feeder.pump()
    const anew = asked.slice(before).map(({ frames }) => frames / RATE)
    expect(anew.slice(0, 4)).toEqual([0.05, 0.1, 0.2, 0.25])
    expect(anew.reduce((sum, seconds) => sum + seconds)).toBeLessThanOrEqual(0.75)
    await playTo(writer.readFrame + 4 * RATE)
    expect(asked.at(-1)!.frames).toBe(0.25 * RATE)
    expect(
      feeder.sessionFrameAt(writer.writtenFrame) - feeder.sessionFrameAt(writer.readFrame),
    ).toBeGreaterThan(2.9 * RATE)
  })

  it('repeats a loop that is shorter than a span', async () => {
    const { feeder, playTo } = setUp(20_000)
    feeder.setLoop({ fromFrame: 20_000, toFrame: 20_000 + 0.06 * RATE })
    await playTo(2 * RATE)
    for (let frame = 1.9 * RATE; frame < 2 * RATE; frame += 100) {
      expect(feeder.sessionFrameAt(frame) - 20_000).toBe(frame % (0.06 * RATE))
    }
  })

  it('goes on from the start of the loop at its end, with a blend of 5 ms before the seam', async () => {
    const { feeder, playTo } = setUp(20_000)
    feeder.setLoop({ fromFrame: 20_000, toFrame: 29_600 })
    const heard = await playTo(9600 * 4)
    const seam = 0.005 * RATE
    for (let i = 0; i < heard.length; i++) {
      const inLoop = i % 9600
      if (inLoop < 9600 - seam && heard[i] !== Math.fround(sampleAt(20_000 + inLoop, 0))) {
        expect.fail(`frame ${i} of the loop is not the session's frame ${20_000 + inLoop}`)
      }
    }
    expect(feeder.sessionFrameAt(9600 * 3 + 5)).toBe(20_005)
  })

  it('has no jump at the seam', async () => {
    const { feeder, playTo } = setUp(10_000, { startFrame: 0, frames: 200_000 })
    feeder.setLoop({ fromFrame: 10_000, toFrame: 110_000 })
    const heard = await playTo(101_000)
    // The material rises by 2^-20 per frame; the two ends differ by 100,000 of them.
    const difference = 100_000 / 2 ** 20
    // cos and sin of a quarter turn over 241 steps, each steepest at pi / 482, over a sum below 0.12.
    expect(biggestStep(heard)).toBeLessThanOrEqual((Math.PI / 482) * (0.12 + difference))
  })

  it('enters a loop at its start when the ear is elsewhere, and leaves it when it is taken away', async () => {
    const { feeder, playTo, writer } = setUp(0)
    await playTo(4800)
    feeder.setLoop({ fromFrame: 100_000, toFrame: 150_000 })
    await playTo(writer.readFrame + 9600)
    expect(feeder.sessionFrameAt(writer.readFrame)).toBe(100_000 + 9600 - 0.02 * RATE)
    feeder.setLoop(null)
    await playTo(writer.readFrame + 60_000)
    expect(feeder.sessionFrameAt(writer.readFrame)).toBeGreaterThan(150_000)
  })

  it('lets a changed setting be heard 20 ms on, blended, and throws away what was under way', async () => {
    const { feeder, playTo, state, asked, writer } = setUp(0)
    const before = await playTo(20_000)
    let release = (): void => {}
    state.hold = new Promise((resolve) => {
      release = resolve
    })
    const stale = feeder.pump()
    state.setting = 0.5
    state.hold = null
    void feeder.redirect()
    release()
    await stale
    expect(asked.at(-1)!.from).toBeGreaterThanOrEqual(20_000 + 0.02 * RATE)
    const after = await playTo(60_000)
    const changeAt = 0.02 * RATE
    expect(after[changeAt - 1]).toBe(Math.fround(sampleAt(20_000 + changeAt - 1, 0)))
    expect(after[changeAt + writer.fadeFrames]).toBe(
      Math.fround(sampleAt(20_000 + changeAt + writer.fadeFrames, 0.5)),
    )
    // And it stays the new one: no older span comes back.
    for (let i = changeAt + writer.fadeFrames; i < after.length; i++) {
      if (after[i] !== Math.fround(sampleAt(20_000 + i, 0.5))) expect.fail(`frame ${i} is of the old setting`)
    }
    expect(biggestStep([...before, ...after])).toBeLessThanOrEqual(
      (0.5 * Math.PI) / (2 * writer.fadeFrames) + 1e-5,
    )
  })

  it('keeps the old sound while the new is late, and is in step when it comes', async () => {
    const { feeder, playTo, state, ring, writer, at } = setUp(0)
    await playTo(20_000)
    let release = (): void => {}
    state.setting = 0.5
    state.hold = new Promise((resolve) => {
      release = resolve
    })
    void feeder.redirect()
    const late = feeder.pump()
    const lateStart = writer.readFrame
    const heard: number[] = []
    for (let frame = lateStart; frame < lateStart + 9000; frame++) heard.push(at(frame))
    Atomics.add(ring.words, WORD.read, 9000)
    expect(heard).toEqual(heard.map((_, i) => Math.fround(sampleAt(20_000 + i, 0))))
    state.hold = null
    release()
    await late
    const after = await playTo(60_000)
    expect(after.at(-1)).toBe(Math.fround(sampleAt(59_999, 0.5)))
    expect(biggestStep([...heard, ...after])).toBeLessThanOrEqual(
      (0.5 * Math.PI) / (2 * writer.fadeFrames) + 1e-5,
    )
  })

  it('seeks by writing over the future', async () => {
    const { feeder, playTo, writer } = setUp(0)
    await playTo(10_000)
    void feeder.redirect(150_000)
    await playTo(20_000)
    expect(feeder.sessionFrameAt(writer.readFrame)).toBe(150_000 + 10_000 - 0.02 * RATE)
  })

  it('ends where the material ends, and says so; older sound is not heard behind it', async () => {
    const { feeder, playTo, writer } = setUp(0)
    await playTo(10_000)
    void feeder.redirect(196_000)
    const heard = await playTo(60_000)
    expect(feeder.hasEnded).toBe(true)
    const end = 0.02 * RATE + (199_000 - 196_000)
    expect(heard.slice(end + writer.fadeFrames).every((sample) => sample === 0)).toBe(true)
  })

  it('gives silence for the part of a loop that lies outside the material', async () => {
    const { feeder, playTo, asked } = setUp(-1000, { startFrame: -1000, frames: 20_000 })
    feeder.setLoop({ fromFrame: -5000, toFrame: 25_000 })
    const heard = await playTo(30_000)
    for (const { from, frames } of asked) {
      expect(from).toBeGreaterThanOrEqual(-1000)
      expect(from + frames).toBeLessThanOrEqual(19_000)
    }
    expect(heard.slice(20_000, 23_000).every((sample) => sample === 0)).toBe(true)
  })

  it('drops a stale answer even where the route does not hear the cancel', async () => {
    const ring = createRing(RATE)
    const writer = createRingWriter(ring, RATE)
    let setting = 0.25
    const feeder = createFeeder(writer, RATE, MATERIAL, 0, async (_from, frames) => {
      const block = new Float32Array(RING_CHANNELS * frames).fill(setting)
      await Promise.resolve()
      return block
    })
    const pumping = feeder.pump()
    setting = 0.5
    void feeder.redirect()
    await pumping
    expect(ring.planes[0][0]).toBe(0.5)
  })

  it('is renewed once new sound reaches 0.3 s ahead, and not before', async () => {
    const { feeder, playTo, writer } = setUp(0)
    await playTo(20_000)
    let isRenewed = false
    const renewal = feeder.redirect().then(() => {
      isRenewed = true
    })
    await Promise.resolve()
    expect(isRenewed).toBe(false)
    await feeder.pump()
    await renewal
    expect(writer.writtenFrame - writer.readFrame).toBeGreaterThanOrEqual(0.3 * RATE)
    // What came between frees whoever waits.
    const overtaken = feeder.redirect()
    void feeder.redirect()
    await overtaken
  })

  it('passes on a failure of the route', async () => {
    const ring = createRing(RATE)
    const feeder = createFeeder(createRingWriter(ring, RATE), RATE, MATERIAL, 0, () =>
      Promise.reject(new Error('vanished')),
    )
    await expect(feeder.pump()).rejects.toThrow('vanished')
  })
})
