import { describe, expect, it } from 'vitest'
import type { StageLayout } from '../../../app/dsp/stage.ts'
import { createDeEss } from '../../../app/dsp/stages/de-ess.ts'
import type { DeEssSettings } from '../../../app/dsp/stages/settings.ts'
import { hissedLine, type SoundSpan } from '../../signals/fricatives.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { spectrumOf } from '../../signals/spectra.ts'
import { itKeepsTheLawsOfStages, runMono } from './stage-laws.ts'

const FS = 48_000
const SETTINGS: DeEssSettings = { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: 0, rangeDb: 6 }
const create =
  (settings: Partial<DeEssSettings> = {}) =>
  (layout: StageLayout) =>
    createDeEss({ ...SETTINGS, ...settings }, layout)

/** Level of 5 to 10 kHz in the middle of each span, power mean in dB. */
function sibilantLevelDb(samples: Float64Array, spans: readonly SoundSpan[], lateBy = 0): number {
  let power = 0
  for (const { from, to } of spans) {
    const middle = (from + to) >> 1
    const { amplitudes, binHz } = spectrumOf(
      samples.subarray(middle + lateBy - 1024, middle + lateBy + 1024),
      FS,
    )
    for (let k = Math.ceil(5000 / binHz); k * binHz <= 10_000; k++) power += amplitudes[k] ** 2
  }
  return 10 * Math.log10(power)
}

describe('de-ess (figure F6)', () => {
  itKeepsTheLawsOfStages('de-ess shelf', create())
  itKeepsTheLawsOfStages('de-ess bell', create({ shape: 'bell', frequencyHz: 7000, rangeDb: 10 }))

  it.each([
    ['high-shelf', 5000, 3],
    ['high-shelf', 5000, 6],
    ['high-shelf', 4000, 9],
    ['bell', 7000, 6],
  ] as const)(
    '%s at %d Hz takes the %d dB asked for off 5 to 10 kHz of every hiss, within 0.7 dB',
    (shape, frequencyHz, rangeDb) => {
      const line = hissedLine(6, FS, 2)
      const { output, latencySamples } = runMono(create({ shape, frequencyHz, rangeDb }), line.samples)
      const before = sibilantLevelDb(line.samples, line.hisses)
      const after = sibilantLevelDb(output, line.hisses, latencySamples)
      expect(Math.abs(before - after - rangeDb)).toBeLessThan(0.7)
    },
  )

  it.each([90, 120, 200, 400])(
    'a vowel at %d Hz is the input, bit for bit, 90 ms after a hiss',
    (pitchHz) => {
      const line = hissedLine(6, FS, 2, { pitchHz })
      const { output, latencySamples } = runMono(create({ rangeDb: 12 }), line.samples)
      for (const { from, to } of line.vowels) {
        // Up to the fade that ends the vowel, under which the next hiss begins.
        const [first, last] = [from === 0 ? 0 : from + 0.09 * FS, to - 0.015 * FS]
        expect(output.subarray(first + latencySamples, last + latencySamples)).toEqual(
          line.samples.subarray(first, last),
        )
      }
    },
  )

  it('input gains from -20 to +10 dB change neither times nor depth: outputs scale within 0.1 dB', () => {
    const line = hissedLine(6, FS, 2)
    const plain = runMono(create(), line.samples)
    for (const gainDb of [-20, -10, 10]) {
      const gain = 10 ** (gainDb / 20)
      const { output, latencySamples } = runMono(
        create(),
        line.samples.map((x) => x * gain),
      )
      const difference =
        sibilantLevelDb(output, line.hisses, latencySamples) -
        sibilantLevelDb(plain.output, line.hisses, latencySamples) -
        gainDb
      expect(Math.abs(difference)).toBeLessThan(0.1)
    }
  })

  it('takes at least 2 dB less off hisses that are 12 dB softer, and as much as before off the others', () => {
    const line = hissedLine(8, FS, 2)
    const isSoft = (k: number) => k % 4 === 1 || k % 4 === 2
    const mixed = line.samples.slice()
    line.hisses.forEach(({ from, to }, k) => {
      if (isSoft(k)) for (let n = from; n < to; n++) mixed[n] *= 10 ** (-12 / 20)
    })
    for (const gain of [1, 0.1]) {
      const samples = mixed.map((x) => x * gain)
      const { output, latencySamples } = runMono(create(), samples)
      const taken = (spans: readonly SoundSpan[]) =>
        sibilantLevelDb(samples, spans) - sibilantLevelDb(output, spans, latencySamples)
      const hot = taken(line.hisses.filter((_, k) => !isSoft(k)))
      const soft = taken(line.hisses.filter((_, k) => isSoft(k)))
      expect(Math.abs(hot - SETTINGS.rangeDb)).toBeLessThan(0.7)
      expect(hot - soft).toBeGreaterThan(2)
    }
  })

  /** Vowels and hisses, each hiss at a level of its own beside the line's, with a rest of noise before one of them. */
  function unevenLine(
    hissDb: readonly number[],
    rest?: { readonly before: number; readonly seconds: number },
  ) {
    const line = hissedLine(hissDb.length, FS, 2)
    line.hisses.forEach(({ from, to }, k) => {
      for (let n = from; n < to; n++) line.samples[n] *= 10 ** (hissDb[k] / 20)
    })
    if (rest === undefined) return line
    const at = line.vowels[rest.before].from
    const noise = whiteNoise(rest.seconds * FS, 5, 1e-4)
    const samples = new Float64Array(line.samples.length + noise.length)
    samples.set(line.samples.subarray(0, at))
    samples.set(noise, at)
    samples.set(line.samples.subarray(at), at + noise.length)
    const hisses = line.hisses.map(({ from, to }) =>
      from < at ? { from, to } : { from: from + noise.length, to: to + noise.length },
    )
    return { ...line, samples, hisses }
  }

  /** What is taken off 5 to 10 kHz of each hiss, dB. */
  function takenOffEach({ samples, hisses }: { samples: Float64Array; hisses: readonly SoundSpan[] }) {
    const { output, latencySamples } = runMono(create(), samples)
    return hisses.map(
      (hiss) => sibilantLevelDb(samples, [hiss]) - sibilantLevelDb(output, [hiss], latencySamples),
    )
  }

  const HOT = [0, 0, 0, 0]
  /** The line's hisses are 2.4 dB under its vowels. */
  const DULL_DB = -18.6
  const SOFT = [-12, -12, -12, -12]

  it.each([-12, 0, 12])(
    'twelve soft hisses behind four hot ones, %d dB in: each is reduced by at least 2 dB less',
    (gainDb) => {
      const line = unevenLine([...HOT, ...SOFT, ...SOFT, ...SOFT])
      const taken = takenOffEach({ ...line, samples: line.samples.map((x) => x * 10 ** (gainDb / 20)) })
      expect(Math.min(...taken.slice(0, 4))).toBeGreaterThan(SETTINGS.rangeDb - 0.7)
      expect(Math.max(...taken.slice(4))).toBeLessThan(SETTINGS.rangeDb - 2.7)
    },
  )

  it('remembers hot hisses over a minute of rest', () => {
    const taken = takenOffEach(unevenLine([...HOT, ...SOFT], { before: 4, seconds: 60 }))
    expect(Math.max(...taken.slice(4))).toBeLessThan(SETTINGS.rangeDb - 2.7)
  })

  it('takes all off hot hisses at once, also behind soft ones and behind rests', () => {
    const taken = takenOffEach(unevenLine([...SOFT, ...HOT], { before: 4, seconds: 5 }))
    expect(Math.min(...taken.slice(4))).toBeGreaterThan(SETTINGS.rangeDb - 0.7)
  })

  it('takes all off the hisses of a dull voice, 21 dB under its vowels', () => {
    const taken = takenOffEach(unevenLine(HOT.map(() => DULL_DB)))
    expect(Math.min(...taken)).toBeGreaterThan(SETTINGS.rangeDb - 0.7)
  })

  it('takes all off the hisses of a voice that has become 12 dB quieter, eight seconds later', () => {
    const line = hissedLine(30, FS, 2)
    const loudTo = line.vowels[4].from
    for (let n = loudTo; n < line.samples.length; n++) line.samples[n] *= 10 ** (-12 / 20)
    const taken = takenOffEach(line)
    expect(Math.min(...taken.slice(-5))).toBeGreaterThan(SETTINGS.rangeDb - 0.7)
  })

  it('forgets one odd hiss 16 dB over the others', () => {
    const taken = takenOffEach(unevenLine([16, ...Array.from({ length: 60 }, () => 0)]))
    expect(Math.min(...taken.slice(-5))).toBeGreaterThan(SETTINGS.rangeDb - 0.7)
  })

  it('is there when the hiss is: all is taken 20 ms after its onset, of which 15 ms are fade-in', () => {
    const line = hissedLine(3, FS, 2)
    const stage = create()({ sampleRateHz: FS, laneChannels: [1] })
    const { latencySamples } = stage
    const samples = line.samples.slice()
    const reductions: number[] = []
    for (let from = 0; from + 48 <= samples.length; from += 48) {
      stage.process([[samples.subarray(from, from + 48)]], 48)
      reductions.push(stage.reductionDb)
    }
    for (const { from, to } of line.hisses) {
      // The control runs ahead of the sound by the latency.
      const first = Math.ceil((from + latencySamples) / 48) + 20
      expect(reductions.slice(first, Math.floor(to / 48)).every((db) => db > 5.9)).toBe(true)
    }
  })

  it('a threshold above the ratio of every hiss leaves all of it alone', () => {
    const { samples } = hissedLine(3, FS, 2)
    const { output, latencySamples } = runMono(create({ thresholdDb: 30 }), samples)
    expect(output.subarray(latencySamples)).toEqual(samples.subarray(0, samples.length - latencySamples))
  })

  it('noise under -84 dBFS is not called sibilant', () => {
    const hiss = whiteNoise(FS, 4, 2e-5)
    const { output, latencySamples } = runMono(create({ thresholdDb: 0 }), hiss)
    expect(output.subarray(latencySamples)).toEqual(hiss.subarray(0, FS - latencySamples))
  })

  it.each([44_100, 48_000, 96_000])('at %d Hz the sound is late by 4 ms', (sampleRateHz) => {
    const { latencySamples } = runMono(create(), new Float64Array(64), sampleRateHz)
    expect(latencySamples).toBe(Math.round(0.004 * sampleRateHz))
  })
})
