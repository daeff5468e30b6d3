// Rows along the song: equal to brute force, under one another at every joint, and true to what the stages do.
// Against the outside: spectra by fft.js, K weighting by the tables of ITU-R BS.1770-5 Annex 1, static curve and time
// constants by the formulas of JAES 60(6), 2012, harmonics by the Fourier series of the curve.

import FFT from 'fft.js'
import { describe, expect, it } from 'vitest'
import { BAND_POWERS } from '../../../app/contract/song/joint-rows.ts'
import type { DriveSettings } from '../../../app/dsp/stages/settings.ts'
import { deEssReductionDb, driveOutput } from '../../../app/dsp/stages/static-curves.ts'
import type { StageToMeasure } from '../../../app/engine/measuring/measure-joints.ts'
import type { MeasuredSong } from '../../../renderer/formats/song/range-figures.ts'
import { createDynamicSection } from '../../dsp/reference/dynamic-section.ts'
import { SOFT_KNEE_TABLE } from '../../dsp/stages/soft-knee-table.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { songOf, soundAtJoints, stageOf } from '../../signals/song-of.ts'
import { tone, toneSequence } from '../../signals/tones.ts'

const FS = 48_000
const ROW = 1024
const FRAMES = 40 * ROW + 300

/** Noise in bursts: loud, soft and silent, on one or two channels. */
const bursts = (seed: number, frames = FRAMES): Float64Array =>
  whiteNoise(frames, seed, 0.6).map((x, i) => x * [1, 0.05, 0, 0.3][Math.floor(i / 5000) % 4])

const EVERY_KIND: StageToMeasure[] = [
  stageOf('trim', { gainDb: -3 }),
  stageOf('expander', { thresholdDbfs: -30, rangeDb: 18 }),
  stageOf('low-cut'),
  stageOf('de-ess', { thresholdDb: -12 }),
  stageOf('drive', { amountDb: 9 }),
  stageOf('opto', { thresholdDbfs: -30 }),
  stageOf('opto', {}, false),
  stageOf('ceiling', { ceilingDbtp: -12 }),
]

/** Edges of the strands in Hz, as in the contract. */
const EDGES_HZ = [0, 150, 400, 1500, 5000, 10_000, 24_000]

/** Bounds of the third octaves from 80 Hz to 16 kHz: IEC 61260-1:2014, 1000 Hz times 10^(x/10), half a band to each side. */
const THIRD_EDGES_HZ = Array.from({ length: 25 }, (_, i) => 1000 * 10 ** ((i - 11.5) / 10))

/** Mean squares of 2048 frames between edges, by fft.js: sine window, each bin spread over its width. */
function bandsByFft(samples: Float64Array, from: number, edgesHz: readonly number[]): number[] {
  const points = 2 * ROW
  const fft = new FFT(points)
  const windowed = Array.from(
    { length: points },
    (_, n) => samples[from + n] * Math.sin((Math.PI * (n + 0.5)) / points),
  )
  const spectrum = fft.createComplexArray() as number[]
  fft.realTransform(spectrum, windowed)
  const powers = new Array<number>(edgesHz.length - 1).fill(0)
  for (let bin = 0; bin <= points / 2; bin++) {
    const power = (spectrum[2 * bin] ** 2 + spectrum[2 * bin + 1] ** 2) * (4 / points ** 2)
    for (let s = 0; s < powers.length; s++) {
      const low = Math.max((edgesHz[s] * points) / FS, bin - 0.5, 0)
      const high = Math.min((edgesHz[s + 1] * points) / FS, bin + 0.5, points / 2)
      if (high > low) powers[s] += power * (high - low)
    }
  }
  return powers
}

/** BS.1770-5 Annex 1 Tables 1 and 2, 48 kHz. */
function kWeighted(samples: Float64Array): Float64Array {
  const section = (b: number[], a: number[], x: Float64Array): Float64Array => {
    const y = new Float64Array(x.length)
    for (let n = 0; n < x.length; n++)
      y[n] =
        b[0] * x[n] +
        b[1] * (x[n - 1] ?? 0) +
        b[2] * (x[n - 2] ?? 0) -
        a[0] * (y[n - 1] ?? 0) -
        a[1] * (y[n - 2] ?? 0)
    return y
  }
  const shelf = section(
    [1.53512485958697, -2.69169618940638, 1.19839281085285],
    [-1.69065929318241, 0.73248077421585],
    samples,
  )
  return section([1, -2, 1], [-1.99004745483398, 0.99007225036621], shelf)
}

const sumOf = (samples: Float64Array, from: number, to: number, of: (x: number) => number): number => {
  let sum = 0
  for (let i = from; i < to; i++) sum += of(samples[i])
  return sum
}
const extremeOf = (samples: Float64Array, from: number, to: number, of: typeof Math.max): number => {
  let chosen = samples[from]
  for (let i = from; i < to; i++) chosen = of(chosen, samples[i])
  return chosen
}

describe.each([
  ['mono', [bursts(1)]],
  ['stereo', [bursts(2), bursts(3)]],
])('rows of every kind of stage, %s', (_, channels) => {
  const { song } = songOf(channels, EVERY_KIND)
  const { joints, traces } = soundAtJoints(channels, EVERY_KIND)
  const rows = Math.ceil(FRAMES / ROW)
  const endOf = (row: number): number => Math.min(FRAMES, (row + 1) * ROW)

  it.each(joints.map((__, joint) => joint))('joint %i equals brute force', (joint) => {
    const sound = joints[joint]
    const { powers, loudnessPowers, peaks, strandPowers, thirds } = song.joints[joint].rows
    const weighted = sound.map(kWeighted)
    expect(powers.length).toBe(rows)
    for (let row = 0; row < rows; row++) {
      const [from, to] = [row * ROW, endOf(row)]
      const square = (x: number): number => x * x
      const mean = sound.reduce((sum, one) => sum + sumOf(one, from, to, square), 0) / (ROW * sound.length)
      expect(powers[row] / Math.max(mean, 1e-12)).toBeCloseTo(Math.min(1, mean / 1e-12), 5)
      const k = weighted.reduce((sum, one) => sum + sumOf(one, from, to, square), 0) / ROW
      if (k > 1e-9) expect(loudnessPowers[row] / k).toBeCloseTo(1, 4)
      const peak = Math.max(...sound.map((one) => greatest(one, from, to)))
      expect(peaks[row]).toBeCloseTo(peak, 6)
      if ((row + 2) * ROW > FRAMES) continue
      for (let s = 0; s < 6; s++) {
        const power = sound.reduce((sum, one) => sum + bandsByFft(one, from, EDGES_HZ)[s], 0) / sound.length
        if (power > 1e-10) expect(strandPowers[s * rows + row] / power).toBeCloseTo(1, 4)
      }
      const bands = sound.map((one) => bandsByFft(one, from, THIRD_EDGES_HZ))
      for (let b = 0; b < 24; b++) {
        const power = bands.reduce((sum, one) => sum + one[b], 0) / sound.length
        const found = BAND_POWERS[thirds[row * 24 + b]]
        // A byte is half a dB.
        if (power > 1e-10) expect(Math.abs(10 * Math.log10(found / power))).toBeLessThan(0.26)
        else expect(found).toBeLessThan(1.2e-10)
      }
    }
  })

  it.each([1, 3, 5, 7])('stage %i has the least and greatest reduction of every row', (stage) => {
    const { leastDb, mostDb } = song.joints[stage + 1].rows
    for (let row = 0; row < rows; row++) {
      expect(leastDb[row]).toBeCloseTo(extremeOf(traces[stage], row * ROW, endOf(row), Math.min), 4)
      expect(mostDb[row]).toBeCloseTo(extremeOf(traces[stage], row * ROW, endOf(row), Math.max), 4)
    }
    expect(Math.max(...mostDb)).toBeGreaterThan(1)
  })

  it('a stage that is off has the rows of the joint before it', () => {
    expect(song.joints[7]).toBe(song.joints[6])
  })
})

const greatest = (samples: Float64Array, from: number, to: number): number => {
  let peak = 0
  for (let i = from; i < to; i++) peak = Math.max(peak, Math.abs(samples[i]))
  return peak
}

it('one click lies in the same row at every joint, whatever the latency', () => {
  const click = new Float64Array(FRAMES)
  click[20 * ROW + 500] = 0.9
  const { song } = songOf(
    [click],
    [
      stageOf('expander', { thresholdDbfs: -90 }),
      stageOf('de-ess'),
      stageOf('drive', { amountDb: 0 }),
      stageOf('ceiling', { lookAheadMs: 5, ceilingDbtp: -6 }),
    ],
  )
  for (const { rows } of song.joints) {
    expect(rows.peaks.indexOf(Math.max(...rows.peaks))).toBe(20)
  }
})

describe('the reduction of a lane, applied to the input, gives the output', () => {
  const channels = [bursts(5), bursts(6)]
  const nullDb = (found: Float64Array[], wanted: Float64Array[]): number => {
    let difference = 0
    let power = 0
    for (const [c, one] of wanted.entries())
      for (let i = 0; i < one.length; i++) {
        difference += (found[c][i] - one[i]) ** 2
        power += one[i] ** 2
      }
    return 10 * Math.log10(difference / power)
  }

  it.each([
    [
      'expander',
      stageOf('expander', { thresholdDbfs: -30, rangeDb: 18, ratio: 4, holdMs: 0, releaseMs: 40 }),
      0,
    ],
    ['opto', stageOf('opto', { thresholdDbfs: -30, makeUpDb: 3 }), 3],
    ['ceiling', stageOf('ceiling', { ceilingDbtp: -12 }), 0],
  ])('%s', (_, stage, makeUpDb) => {
    const { joints, traces } = soundAtJoints(channels, [stage])
    const applied = channels.map((one) => one.map((x, i) => x * 10 ** ((makeUpDb - traces[0][i]) / 20)))
    expect(Math.max(...traces[0])).toBeGreaterThan(3)
    expect(nullDb(applied, joints[1])).toBeLessThan(-90)
  })

  it('de-ess, whose reduction moves the gain of a shelf', () => {
    const stage = stageOf('de-ess', { thresholdDb: -12 })
    const settings = stage.setup!.settings as { frequencyHz: number; rangeDb: number }
    const { joints, traces } = soundAtJoints(channels, [stage])
    const section = createDynamicSection(
      'high-shelf',
      settings.frequencyHz * Math.SQRT1_2,
      Math.SQRT1_2,
      [2],
      FS,
    )
    const applied = channels.map((one) => Float64Array.from(one))
    for (let at = 0; at < FRAMES; at += ROW) {
      const count = Math.min(ROW, FRAMES - at)
      const block = applied.map((one) => one.slice(at, at + count))
      section.run([block], traces[0].slice(at, at + count), count)
      for (const [c, one] of applied.entries()) one.set(block[c], at)
    }
    expect(Math.max(...traces[0])).toBeGreaterThan(3)
    expect(nullDb(applied, joints[1])).toBeLessThan(-90)
  })
})

/** What the lane of the only stage does in the row of a moment. */
const laneAt = (song: MeasuredSong, seconds: number): number =>
  song.joints[1].rows.mostDb[Math.floor((seconds * FS) / ROW)]

describe('what is read from the lanes agrees with the formulas of figure F5', () => {
  const TABLE = {
    thresholdDbfs: -20,
    ratio: 4,
    kneeDb: 6,
    attackMs: 10,
    releaseMs: 60,
    recoverySeconds: 3,
    makeUpDb: 0,
  }

  it.each(SOFT_KNEE_TABLE)(
    'static curve at %d dBFS: %d dBFS come out, within 0.1 dB',
    (inputDb, outputDb) => {
      const { song } = songOf([tone(FS, FS, 1000, 10 ** (inputDb / 20))], [stageOf('opto', TABLE)])
      expect(Math.abs(inputDb - laneAt(song, 0.9) - outputDb)).toBeLessThan(0.1)
    },
  )

  it('attack: 63.2 % of a step of 12 dB over after the attack time, within one row', () => {
    const attackMs = 200
    const input = toneSequence(
      [
        { seconds: 1, peakDbfs: -40 },
        { seconds: 2, peakDbfs: -8 },
      ],
      FS,
      997,
    )
    const { song } = songOf([input], [stageOf('opto', { ...TABLE, attackMs })])
    const { mostDb } = song.joints[1].rows
    const row = mostDb.findIndex((db) => db >= 9 * (1 - Math.exp(-1)))
    expect(Math.abs((row * ROW) / FS - 1 - attackMs / 1000)).toBeLessThan(ROW / FS + 0.1 * (attackMs / 1000))
  })

  it('expander: the range below the threshold, closed by the release time, within one row', () => {
    const releaseMs = 250
    const settings = { thresholdDbfs: -30, ratio: 4, rangeDb: 20, attackMs: 2, holdMs: 0, releaseMs }
    const input = toneSequence(
      [
        { seconds: 1, peakDbfs: -10 },
        { seconds: 3, peakDbfs: -60 },
      ],
      FS,
      997,
    )
    const { song } = songOf([input], [stageOf('expander', settings)])
    expect(laneAt(song, 3.5)).toBeCloseTo(20, 1)
    const { mostDb } = song.joints[1].rows
    const row = mostDb.findIndex((db) => db >= 20 * (1 - Math.exp(-1)))
    // The level itself takes 6 time constants of its 5 ms to fall below the threshold.
    expect((row * ROW) / FS - 1).toBeGreaterThan(releaseMs / 1000 - ROW / FS)
    expect((row * ROW) / FS - 1).toBeLessThan(releaseMs / 1000 + 0.04 + ROW / FS)
  })

  it('de-ess: the curve of its ratio of sibilance to voice', () => {
    // Both bands as tones 6.02 dB apart. Butterworth filters at 4.5 kHz (24 dB) and 10.5 kHz (12 dB) take some of 7 kHz.
    const takenDb = 10 * Math.log10((1 + (4.5 / 7) ** 8) * (1 + (7 / 10.5) ** 4))
    const voice = tone(2 * FS, FS, 1000, 0.1)
    const sibilant = tone(2 * FS, FS, 7000, 0.2)
    const settings = { thresholdDb: 2, rangeDb: 10, shape: 'bell' as const, frequencyHz: 7000 }
    const { song } = songOf([voice.map((x, i) => x + sibilant[i])], [stageOf('de-ess', settings)])
    expect(Math.abs(laneAt(song, 1.9) - deEssReductionDb(6.02 - takenDb, settings))).toBeLessThan(0.4)
  })

  it('drive: what it adds to a sine is all that the Fourier series of its curve has beside the sine, within 0.2 dB', () => {
    const settings = {
      ...(stageOf('drive', { amountDb: 12, evenPercent: 0, mixPercent: 100 }).setup!
        .settings as DriveSettings),
    }
    const peak = 10 ** (settings.referenceDbfs / 20)
    const { song } = songOf([tone(FS, FS, 468.75, peak)], [stageOf('drive', settings)])
    const points = 4096
    const wave = Float64Array.from({ length: points }, (_, n) =>
      driveOutput(peak * Math.sin((2 * Math.PI * n) / points), settings),
    )
    const total = sumOf(wave, 0, points, (x) => x * x) / points
    let first = 0
    for (let n = 0; n < points; n++) first += (2 / points) * wave[n] * Math.sin((2 * Math.PI * n) / points)
    const addedDb = 10 * Math.log10(1 - (first * first) / 2 / total)
    expect(addedDb).toBeGreaterThan(-40)
    expect(Math.abs(laneAt(song, 0.5) - addedDb)).toBeLessThan(0.2)
  })
})

it('a changed stage changes no row before it, and the rest is what a pass from the take gives', () => {
  const channels = [bursts(7)]
  const chain = (thresholdDbfs: number): StageToMeasure[] => [
    stageOf('expander'),
    stageOf('low-cut'),
    stageOf('opto', { thresholdDbfs }),
    stageOf('ceiling', { ceilingDbtp: -12 }),
  ]
  const first = songOf(channels, chain(-30))
  const second = songOf(channels, chain(-20))
  for (const joint of [0, 1, 2]) expect(second.song.joints[joint].rows).toEqual(first.song.joints[joint].rows)
  expect(second.song.joints[3].rows.mostDb).not.toEqual(first.song.joints[3].rows.mostDb)
})
