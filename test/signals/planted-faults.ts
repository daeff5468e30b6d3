// Faults planted into takes, each with the truth of where and how much.

import { createRandom } from '../../app/dsp/maths/random.ts'
import { createOpto } from '../../app/dsp/stages/opto.ts'
import type { VoiceTruth } from '../../app/dsp/voice/voice-truth.ts'
import { addWhiteNoise, RATE_HZ, throughFfmpeg } from './checking.ts'

export type ClickShape = 'one sample' | 'jump' | 'tick'

/** A click every quarter of a second or so, at moments that no voice chose. */
export function withClicks(
  samples: ArrayLike<number>,
  shape: ClickShape,
  peakDbfs: number,
): { readonly take: Float64Array; readonly momentsSeconds: readonly number[] } {
  const take = Float64Array.from(samples)
  const random = createRandom(9)
  const momentsSeconds: number[] = []
  for (let t = 0.3; t < take.length / RATE_HZ - 0.3; t += 0.15 + 0.2 * random.uniform()) {
    const at = Math.round(t * RATE_HZ)
    const height = 10 ** (peakDbfs / 20) * (random.uniform() < 0.5 ? -1 : 1)
    if (shape === 'one sample') take[at] += height
    // A cut without a fade: it jumps and the mic's high-pass brings it back.
    if (shape === 'jump') for (let n = 0; n < 960; n++) take[at + n] += height * Math.exp(-n / 200)
    if (shape === 'tick') {
      for (let n = 0; n < 60; n++) {
        take[at + n] += height * Math.exp(-n / 15) * Math.sin((2 * Math.PI * 3500 * n) / RATE_HZ + 1)
      }
    }
    momentsSeconds.push(at / RATE_HZ)
  }
  return { take, momentsSeconds }
}

/** What may follow clipping on the way to the file; the second value is the rate of the result. */
export const AFTER_CLIPPING: Readonly<Record<string, (cut: Float64Array) => [Float64Array, number]>> = {
  'noise at -80 dBFS': (cut) => [addWhiteNoise(cut.slice(), -80, 5), RATE_HZ],
  'AC coupling at 5 Hz': (cut) => [throughFfmpeg(cut, 'highpass=f=5:p=1'), RATE_HZ],
  'a low-cut at 80 Hz': (cut) => [throughFfmpeg(cut, 'highpass=f=80'), RATE_HZ],
  'conversion to 44.1 kHz': (cut) => [throughFfmpeg(cut, '', 44_100), 44_100],
}

/** Cut this far below its highest level, which is -3 dBFS afterwards. */
export function clippedBy(voice: Float64Array, depthDb: number): Float64Array {
  const highest = voice.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
  const gain = 10 ** (depthDb / 20) / highest
  return voice.map((sample) => 0.7 * Math.max(-1, Math.min(1, gain * sample)))
}

/** Runs of four samples and more at a limit, where they begin. */
export function runsAtLimit(signal: Float64Array, low: number, high: number): number[] {
  const startsSeconds: number[] = []
  for (let n = 0; n < signal.length; n++) {
    const start = n
    while (n < signal.length && (signal[n] >= high || signal[n] <= low)) n++
    if (n - start >= 4) startsSeconds.push(start / RATE_HZ)
  }
  return startsSeconds
}

/** Rumble near 40 Hz that swells every 0.8 s, as traffic or a hand on the stand makes it: no pop among it. */
export function withSwellingRumble(samples: ArrayLike<number>): Float64Array {
  const random = createRandom(5)
  let once = 0
  let twice = 0
  let slow = 0
  return Float64Array.from(samples, (sample, n) => {
    once += 0.007 * (random.normal() - once)
    twice += 0.007 * (once - twice)
    slow += 0.002 * (twice - slow)
    const swell = Math.sin((2 * Math.PI * n) / RATE_HZ / 0.8) > 0.3 ? 1 : 0.15
    return sample + 0.24 * swell * (twice - slow)
  })
}

const HUM_AMPLITUDES = [1, 0.5, 0.7, 0.2, 0.4, 0.1, 0.2, 0.1, 0.1]

/** With the first nine harmonics of the mains, `levelDbfs` RMS in all. */
export function withHum(samples: ArrayLike<number>, fundamentalHz: number, levelDbfs: number): Float64Array {
  const power = HUM_AMPLITUDES.reduce((sum, amplitude) => sum + amplitude ** 2 / 2, 0)
  const gain = 10 ** (levelDbfs / 20) / Math.sqrt(power)
  return Float64Array.from(samples, (sample, n) => {
    let hum = 0
    for (const [k, amplitude] of HUM_AMPLITUDES.entries()) {
      hum += amplitude * Math.sin((2 * Math.PI * fundamentalHz * (k + 1) * n) / RATE_HZ + k * k)
    }
    return sample + gain * hum
  })
}

/** In place: every other fifth of a second without voice becomes digital zero, as an editor mutes. */
export function muteHalfOfThePauses(take: Float64Array, { f0 }: VoiceTruth): Float64Array {
  const piece = 0.2 * RATE_HZ
  let silent = 0
  for (let at = 0; at + piece < take.length; at += piece) {
    const first = Math.floor(at / RATE_HZ / f0.stepSeconds)
    const last = Math.floor((at + piece) / RATE_HZ / f0.stepSeconds)
    if (f0.hz.subarray(first, last).every((hz) => hz === 0) && silent++ % 2 === 0) {
      take.fill(0, at, at + piece)
    }
  }
  return take
}

/** Later by `frames` (earlier where negative) and `gain` times as great. */
export function movedCopy(samples: ArrayLike<number>, frames: number, gain: number): Float64Array {
  const moved = new Float64Array(samples.length + Math.max(0, frames))
  for (let n = 0; n < samples.length; n++) {
    if (n + frames >= 0) moved[n + frames] = gain * samples[n]
  }
  return moved
}

/** As a leveller in front of the converter would leave the take: 4 to 1, and its greatest reduction. */
export function levelledTake(
  samples: ArrayLike<number>,
  thresholdDbfs: number,
): { readonly take: Float64Array; readonly reductionDb: number } {
  const opto = createOpto(
    { thresholdDbfs, ratio: 4, kneeDb: 10, attackMs: 10, releaseMs: 60, recoverySeconds: 3, makeUpDb: 0 },
    { sampleRateHz: RATE_HZ, laneChannels: [1] },
  )
  const take = Float64Array.from(samples)
  let reductionDb = 0
  const block = new Float64Array(1024)
  for (let at = 0; at < take.length; at += block.length) {
    const frames = Math.min(block.length, take.length - at)
    block.fill(0)
    block.set(take.subarray(at, at + frames))
    opto.process([[block]], frames)
    take.set(block.subarray(0, frames), at)
    reductionDb = Math.max(reductionDb, opto.reductionDb)
  }
  return { take, reductionDb }
}
