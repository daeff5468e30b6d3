// The meter of what is heard, against ffmpeg's ebur128 on the same sound, and against a tone whose true
// peak is known.

import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { createLiveMeter, METER, METERS } from '../../../renderer/playback/live-meter.ts'
import { hasTool } from '../../require-tool.ts'
import { whiteNoise } from '../../signals/noise.ts'

const SECONDS = 8
const QUANTUM = 128

/** Noise of changing level on the left and a moving tone on the right: nothing stands still. */
function programme(rateHz: number): [Float32Array, Float32Array] {
  const left = new Float32Array(SECONDS * rateHz)
  const right = new Float32Array(SECONDS * rateHz)
  let seed = 7
  for (let i = 0; i < left.length; i++) {
    seed = (Math.imul(seed, 1_664_525) + 1_013_904_223) | 0
    const t = i / rateHz
    left[i] = (seed / 2 ** 31) * (0.15 + 0.1 * Math.sin(2 * Math.PI * 0.7 * t))
    right[i] = 0.3 * Math.sin(2 * Math.PI * (200 * t + 150 * t * t)) * (t % 1 < 0.6 ? 1 : 0.1)
  }
  return [left, right]
}

const folder = mkdtempSync(join(tmpdir(), 'takeloft-live-meter-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

/** Momentary and short-term loudness at every 100 ms, as ffmpeg prints them. */
function byFfmpeg([left, right]: [Float32Array, Float32Array], rateHz: number) {
  const samples = new Float32Array(2 * left.length)
  for (let i = 0; i < left.length; i++) {
    samples[2 * i] = left[i]
    samples[2 * i + 1] = right[i]
  }
  const file = join(folder, `${rateHz}.f32`)
  writeFileSync(file, new Uint8Array(samples.buffer))
  const { stderr } = spawnSync(
    'ffmpeg',
    ['-hide_banner', '-f', 'f32le', '-ar', `${rateHz}`, '-ac', '2', '-i', file].concat([
      '-af',
      'ebur128=framelog=info:peak=true',
      '-f',
      'null',
      '-',
    ]),
    { encoding: 'utf8' },
  )
  const lines = [...stderr.matchAll(/ t: ([\d.]+) +TARGET.* M: *(-?[\d.]+|nan) S: *(-?[\d.]+|nan)/g)].map(
    ([, t, m, s]) => ({ t: Number(t), m: Number(m), s: Number(s) }),
  )
  const peaks = stderr.matchAll(/Peak: +(-?[\d.]+) dBFS/g)
  return { lines, truePeakDb: Math.max(...[...peaks].map(([, peak]) => Number(peak))) }
}

describe.skipIf(!hasTool('ffmpeg'))('the meter of what is heard', () => {
  for (const rateHz of [44_100, 48_000, 96_000]) {
    it(`reads as ffmpeg's ebur128 does, at ${rateHz} Hz`, () => {
      const sound = programme(rateHz)
      const { lines, truePeakDb } = byFfmpeg(sound, rateHz)
      const meter = createLiveMeter(rateHz)
      const readings = new Float32Array(METERS)
      meter.reset(readings)
      let compared = 0
      let done = 0
      for (const { t, m, s } of lines) {
        // ffmpeg names the last frame of each 100 ms.
        const end = Math.round((Math.round(10 * t) / 10) * rateHz)
        while (done < end) {
          const frames = Math.min(QUANTUM, end - done)
          meter.add(sound[0].subarray(done), sound[1].subarray(done), frames, readings)
          done += frames
        }
        if (t < 3.15) continue
        // It prints tenths.
        expect(Math.abs(readings[METER.momentary] - m), `momentary at ${t} s`).toBeLessThan(0.15)
        expect(Math.abs(readings[METER.shortTerm] - s), `short-term at ${t} s`).toBeLessThan(0.15)
        compared++
      }
      expect(compared).toBeGreaterThan(40)
      // At 96 kHz ffmpeg looks at one point between samples only and reads low.
      if (rateHz > 48_000) return
      const peakDb = 20 * Math.log10(readings[METER.maxPeak])
      // EBU Tech 3341 allows a true-peak meter +0.2 and -0.4 dB.
      expect(peakDb - truePeakDb).toBeLessThan(0.25)
      expect(peakDb - truePeakDb).toBeGreaterThan(-0.45)
    })
  }

  // Of middle m and side s with powers M and S, left m + s and right m - s: r = (M - S) / (M + S).
  it.each([
    ['the same on both sides', 1, 0, 1],
    ['one side inverted', 0, 1, -1],
    ['unrelated sides', 1, 1, 0],
    ['a side 6 dB under the middle', 1, 0.5, 0.6],
    ['a middle 6 dB under the side', 0.5, 1, -0.6],
  ])('the correlation of %s', (_, middle, side, wanted) => {
    const meter = createLiveMeter(48_000)
    const readings = new Float32Array(METERS)
    meter.reset(readings)
    const [left, right] = [new Float32Array(48_000), new Float32Array(48_000)]
    const [m, s] = [whiteNoise(48_000, 11, 0.3), whiteNoise(48_000, 12, 0.3)]
    for (let i = 0; i < left.length; i++) {
      left[i] = middle * m[i] + side * s[i]
      right[i] = middle * m[i] - side * s[i]
    }
    expect(readings[METER.correlation]).toBeNaN()
    for (let at = 0; at < left.length; at += QUANTUM)
      meter.add(left.subarray(at), right.subarray(at), QUANTUM, readings)
    // 19,200 pairs of noise: a standard deviation of 0.007.
    expect(Math.abs(readings[METER.correlation] - wanted)).toBeLessThan(0.03)
  })

  it('tells no correlation of room noise, nor of one side alone, and forgets after 0.4 s', () => {
    const meter = createLiveMeter(48_000)
    const readings = new Float32Array(METERS)
    meter.reset(readings)
    const play = (left: number, right: number, seconds: number): number => {
      const noise = Float32Array.from(whiteNoise(QUANTUM, 3, 1))
      for (let at = 0; at < seconds * 48_000; at += QUANTUM)
        meter.add(
          noise.map((x) => x * left),
          noise.map((x) => x * right),
          QUANTUM,
          readings,
        )
      return readings[METER.correlation]
    }
    expect(play(0.001, 0.001, 1)).toBeNaN()
    expect(play(0.3, 0, 1)).toBeNaN()
    expect(play(0.3, -0.3, 1)).toBeCloseTo(-1, 5)
    expect(play(0.3, 0.3, 0.46)).toBeCloseTo(1, 5)
  })

  it('finds the peak between samples: a tone at a quarter of the rate, 45° off (Tech 3341, case 15)', () => {
    const meter = createLiveMeter(48_000)
    const readings = new Float32Array(METERS)
    meter.reset(readings)
    const tone = Float32Array.from(
      { length: 9600 },
      (_, i) => 0.5 * Math.sin((Math.PI / 2) * i + Math.PI / 4),
    )
    for (let at = 0; at < tone.length; at += QUANTUM)
      meter.add(tone.subarray(at), new Float32Array(QUANTUM), QUANTUM, readings)
    expect(20 * Math.log10(readings[METER.peakLeft])).toBeGreaterThan(-6.4)
    expect(20 * Math.log10(readings[METER.peakLeft])).toBeLessThan(-5.8)
    expect(readings[METER.peakRight]).toBe(0)
  })
})
