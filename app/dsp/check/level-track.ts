// The level of a take over time: per 10 ms the power of the sound from 80 Hz up and from
// 3 kHz up, the peak and the mean, and per millisecond the sharpest corner of the
// waveform (its greatest second difference). All detectors of sound and silence use it.

import { GrowingDoubles } from '../maths/growing-doubles.ts'

/** Below this are rumble and offset, which do not indicate singing. */
const LEVEL_FROM_HZ = 80
/** A leading /s/ or /f/ has most of its power above this. */
const HIGH_FROM_HZ = 3000
/** Segments of about 1 ms in a frame. */
const SEGMENTS_PER_FRAME = 10

/** Grows as the take is added. */
export interface LevelTrack {
  /** Audio frames in a segment of about 1 ms, and the length in seconds of a level frame of ten segments. */
  readonly segmentFrames: number
  readonly frameSeconds: number
  /** Mean square per 10 ms from 80 Hz up; exactly 0 where every sample is 0. */
  readonly powers: GrowingDoubles
  /** Mean square per 10 ms from 3 kHz up. */
  readonly highPowers: GrowingDoubles
  /** Greatest magnitude per 10 ms from 80 Hz up. */
  readonly peaks: GrowingDoubles
  /** Mean per 10 ms of the unfiltered samples. */
  readonly means: GrowingDoubles
  /**
   * @param samples must contain the take's two previous samples before `from`
   * @param corner called in order with each finished segment's greatest second difference
   */
  add(samples: Float64Array, from: number, frames: number, corner: (greatest: number) => void): void
}

/** @param sampleRateHz of the mono samples that are added */
export function createLevelTrack(sampleRateHz: number): LevelTrack {
  const segmentFrames = Math.round(sampleRateHz / 1000)
  const frameFrames = SEGMENTS_PER_FRAME * segmentFrames
  const low = highPass(LEVEL_FROM_HZ, sampleRateHz)
  const high = highPass(Math.min(HIGH_FROM_HZ, 0.4 * sampleRateHz), sampleRateHz)
  const powers = new GrowingDoubles()
  const highPowers = new GrowingDoubles()
  const peaks = new GrowingDoubles()
  const means = new GrowingDoubles()
  // Direct form 2 transposed, two states per filter.
  const state = new Float64Array(4)
  let segmentLeft = segmentFrames
  let segmentsLeft = SEGMENTS_PER_FRAME
  let corner = 0
  let power = 0
  let highPower = 0
  let rawPower = 0
  let sum = 0
  let peak = 0

  /** Measures samples that do not extend beyond the current segment. */
  function survey(samples: Float64Array, from: number, to: number): void {
    const { gain: lg, a1: la1, a2: la2 } = low
    const { gain: hg, a1: ha1, a2: ha2 } = high
    let s1 = state[0]
    let s2 = state[1]
    let t1 = state[2]
    let t2 = state[3]
    let before = samples[from - 1]
    let step = before - samples[from - 2]
    let sharpest = corner
    let lowSum = 0
    let highSum = 0
    let rawSum = 0
    let total = 0
    let most = peak
    for (let n = from; n < to; n++) {
      const x = samples[n]
      const nextStep = x - before
      const bend = Math.abs(nextStep - step)
      before = x
      step = nextStep
      if (bend > sharpest) sharpest = bend
      total += x
      rawSum += x * x
      const v = lg * x
      const y = v + s1
      s1 = s2 - 2 * v - la1 * y
      s2 = v - la2 * y
      const w = hg * y
      const z = w + t1
      t1 = t2 - 2 * w - ha1 * z
      t2 = w - ha2 * z
      lowSum += y * y
      highSum += z * z
      const size = Math.abs(y)
      if (size > most) most = size
    }
    state[0] = s1
    state[1] = s2
    state[2] = t1
    state[3] = t2
    corner = sharpest
    power += lowSum
    highPower += highSum
    rawPower += rawSum
    sum += total
    peak = most
  }

  function endFrame(): void {
    const silent = rawPower === 0
    powers.push(silent ? 0 : power / frameFrames)
    highPowers.push(silent ? 0 : highPower / frameFrames)
    peaks.push(peak)
    means.push(sum / frameFrames)
    power = highPower = rawPower = sum = peak = 0
    segmentsLeft = SEGMENTS_PER_FRAME
    for (let i = 0; i < state.length; i++) if (Math.abs(state[i]) < 1e-15) state[i] = 0
  }

  return {
    segmentFrames,
    frameSeconds: frameFrames / sampleRateHz,
    powers,
    highPowers,
    peaks,
    means,
    add(samples, from, frames, cornerFound) {
      const end = from + frames
      for (let at = from; at < end; ) {
        const to = Math.min(end, at + segmentLeft)
        survey(samples, at, to)
        segmentLeft -= to - at
        at = to
        if (segmentLeft > 0) continue
        cornerFound(corner)
        corner = 0
        segmentLeft = segmentFrames
        if (--segmentsLeft === 0) endFrame()
      }
    },
  }
}

/** Second-order Butterworth high-pass (bilinear transform): gain (1 - z^-1)^2 / (1 + a1 z^-1 + a2 z^-2). */
function highPass(frequencyHz: number, sampleRateHz: number): { gain: number; a1: number; a2: number } {
  const k = Math.tan((Math.PI * frequencyHz) / sampleRateHz)
  const a0 = 1 + Math.SQRT2 * k + k * k
  return { gain: 1 / a0, a1: (2 * (k * k - 1)) / a0, a2: (1 - Math.SQRT2 * k + k * k) / a0 }
}
