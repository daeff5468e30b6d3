import { execFileSync } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { createRateConverter, isConvertible } from '../../../app/dsp/conversion/rate-conversion.ts'
import { hasTool } from '../../require-tool.ts'
import { impulse } from '../../signals/impulses.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { greatestLevelDb, sineAmplitude, spectrumOf } from '../../signals/spectra.ts'
import { tone } from '../../signals/tones.ts'

const RATES_HZ = [44100, 48000, 88200, 96000]
const DIRECTIONS = RATES_HZ.flatMap((from) =>
  RATES_HZ.filter((to) => to !== from).map((to) => [from, to] as const),
)
const OTHER_DIRECTIONS = [
  [8000, 48000],
  [48000, 8000],
  [11025, 44100],
  [44100, 11025],
  [11025, 192000],
  [192000, 11025],
  [16000, 44100],
  [22050, 48000],
  [24000, 44100],
  [32000, 48000],
  [48000, 32000],
  [176400, 48000],
  [192000, 44100],
  [44100, 176400],
] as const

function convertWhole(input: Float64Array, fromHz: number, toHz: number): Float64Array {
  const converter = createRateConverter(fromHz, toHz)
  const output = new Float64Array(converter.outputFrames(input.length))
  converter.convert(input, 0, output, 0, output.length)
  return output
}

/** A steady stretch of a converted tone, away from where it begins and ends. */
function convertTone(frequencyHz: number, fromHz: number, toHz: number): Float64Array {
  const lowerHz = Math.min(fromHz, toHz)
  const middle = 16384
  const seconds = middle / toHz + 1200 / lowerHz
  const output = convertWhole(tone(Math.ceil(seconds * fromHz), fromHz, frequencyHz, 1), fromHz, toHz)
  const from = (output.length - middle) >> 1
  return output.subarray(from, from + middle)
}

/** Frequencies at shares of 20 kHz when the lower rate is 44.1 kHz or more, of 0.907 of half of it below. */
function passTones(fromHz: number, toHz: number): number[] {
  const topHz = Math.min(20000, (Math.min(fromHz, toHz) / 2) * (20000 / 22050))
  return [0.003, 0.05, 0.25, 0.5, 0.75, 0.95, 1].map((share) => share * topHz)
}

function measure(fromHz: number, toHz: number): { rippleDb: number; imagesDb: number; aliasesDb: number } {
  let rippleDb = 0
  let imagesDb = -Infinity
  for (const frequencyHz of passTones(fromHz, toHz)) {
    const output = convertTone(frequencyHz, fromHz, toHz)
    rippleDb = Math.max(rippleDb, Math.abs(20 * Math.log10(sineAmplitude(output, frequencyHz, toHz))))
    imagesDb = Math.max(imagesDb, greatestLevelDb(spectrumOf(output, toHz), [frequencyHz]))
  }
  // Tones that the lower rate cannot carry, from just above half of it up.
  let aliasesDb = -Infinity
  for (const share of toHz < fromHz ? [0.001, 0.05, 0.2, 0.5, 0.9] : []) {
    const frequencyHz = toHz / 2 + share * ((fromHz - toHz) / 2)
    aliasesDb = Math.max(aliasesDb, greatestLevelDb(spectrumOf(convertTone(frequencyHz, fromHz, toHz), toHz)))
  }
  return { rippleDb, imagesDb, aliasesDb }
}

describe('figure F8: within 0.01 dB to 20 kHz, aliases and images at -120 dB or lower', () => {
  it.each(DIRECTIONS)('%i to %i Hz', (fromHz, toHz) => {
    const { rippleDb, imagesDb, aliasesDb } = measure(fromHz, toHz)
    console.info(
      `F8 ${fromHz} to ${toHz}: ripple ${rippleDb.toExponential(1)} dB, ` +
        `images ${imagesDb.toFixed(1)}, aliases ${aliasesDb.toFixed(1)} dB`,
    )
    expect(rippleDb).toBeLessThan(0.01)
    expect(imagesDb).toBeLessThan(-120)
    expect(aliasesDb).toBeLessThan(-120)
  })
})

describe('other rates: the same to 0.907 of half the lower rate', () => {
  it.each(OTHER_DIRECTIONS)('%i to %i Hz', (fromHz, toHz) => {
    const { rippleDb, imagesDb, aliasesDb } = measure(fromHz, toHz)
    expect(rippleDb).toBeLessThan(0.01)
    expect(imagesDb).toBeLessThan(-120)
    expect(aliasesDb).toBeLessThan(-120)
  })
})

describe.skipIf(!hasTool('sox'))('against the converter of SoX (rate -v, 175 dB, linear phase)', () => {
  it.each([
    [44100, 48000],
    [48000, 44100],
    [96000, 48000],
    [44100, 96000],
  ])('%i to %i Hz: same frames, same samples within -100 dB', (fromHz, toHz) => {
    // Tones that both pass bands hold; both are of linear phase with the delay taken out.
    const frames = fromHz
    const input = new Float64Array(frames)
    for (const [i, frequencyHz] of [61, 440, 997, 3150, 7000, 12345, 17500].entries()) {
      const part = tone(frames, fromHz, frequencyHz, 0.1, 50 * i)
      for (let n = 0; n < frames; n++) input[n] += part[n]
    }
    const folder = mkdtempSync(join(tmpdir(), 'takeloft-rate-'))
    try {
      const before = join(folder, 'before.f64')
      const after = join(folder, 'after.f64')
      writeFileSync(before, new Uint8Array(input.buffer))
      execFileSync('sox', [
        ...['-t', 'f64', '-r', String(fromHz), '-c', '1', before],
        ...['-t', 'f64', after, 'rate', '-v', String(toHz)],
      ])
      const theirs = new Float64Array(Uint8Array.from(readFileSync(after)).buffer)
      const ours = convertWhole(input, fromHz, toHz)
      expect(ours).toHaveLength(theirs.length)
      let greatest = 0
      for (let n = 4000; n < ours.length - 4000; n++) {
        greatest = Math.max(greatest, Math.abs(ours[n] - theirs[n]))
      }
      console.info(`SoX ${fromHz} to ${toHz}: ${(20 * Math.log10(greatest)).toFixed(1)} dBFS apart at most`)
      expect(20 * Math.log10(greatest)).toBeLessThan(-100)
    } finally {
      rmSync(folder, { recursive: true })
    }
  })
})

describe('any span from its own input', () => {
  const converter = createRateConverter(44100, 48000)
  const input = whiteNoise(6000, 4)
  const whole = convertWhole(input, 44100, 48000)

  it('gives the same samples in any order and size of spans', () => {
    for (const [start, frames] of [
      [5000, 700],
      [0, 33],
      [6231, 300],
      [160, 160],
      [1, 1],
    ]) {
      const span = converter.inputSpan(start, frames)
      const from = Math.max(0, span.startFrame)
      const part = input.slice(from, span.startFrame + span.frames)
      const output = new Float64Array(frames)
      converter.convert(part, from, output, start, frames)
      expect(output).toEqual(whole.slice(start, start + frames))
    }
  })

  it('takes what is missing at the ends as silence, to the last bit', () => {
    const padded = new Float64Array(7000)
    padded.set(input, 500)
    const output = new Float64Array(whole.length)
    converter.convert(padded, -500, output, 0, output.length)
    expect(output).toEqual(whole)
  })

  it('needs the span it names: a dozen frames less at either end change the samples', () => {
    const { startFrame, frames } = converter.inputSpan(2000, 147)
    const read = (from: number, to: number) => {
      const output = new Float64Array(147)
      converter.convert(input.slice(from, to), from, output, 2000, 147)
      return output
    }
    const due = whole.slice(2000, 2147)
    expect(read(startFrame, startFrame + frames)).toEqual(due)
    expect(read(startFrame + 12, startFrame + frames)).not.toEqual(due)
    expect(read(startFrame, startFrame + frames - 12)).not.toEqual(due)
  })

  it('holds beyond 2^31 frames: a constant stays one, and positions follow the ratio', () => {
    const far = 2 ** 40
    const { startFrame, frames } = converter.inputSpan(far, 500)
    const reach = startFrame + frames / 2 - ((far + 250) * 147) / 160
    expect(Math.abs(reach)).toBeLessThan(4)
    const output = new Float64Array(500)
    converter.convert(new Float64Array(frames).fill(1), startFrame, output, far, 500)
    for (const sample of output) expect(Math.abs(sample - 1)).toBeLessThan(1e-12)
    // The pattern of phases repeats every 160 frames out, 147 in, however far on.
    const there = new Float64Array(320)
    converter.convert(input, (far / 160 - (far % 160) / 160) * 147, there, far - (far % 160), 320)
    expect(there).toEqual(whole.slice(0, 320))
  })
})

describe('time and level', () => {
  it.each(DIRECTIONS)('%i to %i Hz keeps an impulse at its time (0.01 sample)', (fromHz, toHz) => {
    // Frame 14700 or 16000 lies on a frame of every other rate.
    const atFrame = fromHz / 3
    const output = convertWhole(impulse(2 * atFrame, atFrame), fromHz, toHz)
    let sum = 0
    let moment = 0
    for (let n = 0; n < output.length; n++) {
      sum += output[n]
      moment += output[n] * (n - toHz / 3)
    }
    expect(Math.abs(moment / sum)).toBeLessThan(0.01)
    expect(sum).toBeCloseTo(toHz / fromHz, 6)
    const greatest = output.indexOf(output.reduce((most, sample) => Math.max(most, sample), 0))
    expect(greatest).toBe(toHz / 3)
  })

  it.each(DIRECTIONS)('%i to %i Hz leaves a constant without a tone on it (-240 dB)', (fromHz, toHz) => {
    const output = convertWhole(new Float64Array(8000).fill(1), fromHz, toHz)
    for (const sample of output.subarray(1500, output.length - 1500)) {
      expect(Math.abs(sample - 1)).toBeLessThan(1e-12)
    }
  })

  it('44.1 to 48 and back nulls at -100 dB below 20 kHz', () => {
    const input = new Float64Array(44100)
    for (const frequencyHz of [100, 1000, 5000, 12000, 19900]) {
      const part = tone(44100, 44100, frequencyHz, 0.15)
      for (let n = 0; n < input.length; n++) input[n] += part[n]
    }
    const back = convertWhole(convertWhole(input, 44100, 48000), 48000, 44100)
    let greatest = 0
    for (let n = 1000; n < 43000; n++) greatest = Math.max(greatest, Math.abs(back[n] - input[n]))
    expect(20 * Math.log10(greatest)).toBeLessThan(-100)
  })

  it('counts frames by the ratio 160/147', () => {
    expect(createRateConverter(44100, 48000).outputFrames(147)).toBe(160)
    expect(createRateConverter(44100, 48000).outputFrames(44100 * 3600)).toBe(48000 * 3600)
    expect(createRateConverter(48000, 44100).outputFrames(100)).toBe(92)
    expect(createRateConverter(48000, 44100).outputFrames(0)).toBe(0)
  })
})

describe('which rates', () => {
  it('copies between equal rates, bit for bit', () => {
    expect(convertWhole(whiteNoise(500, 1), 48000, 48000)).toEqual(whiteNoise(500, 1))
  })

  it('takes every pair of the usual rates and refuses what has no short ratio', () => {
    const usual = [8000, 11025, 16000, 22050, 24000, 32000, 44100, 48000, 88200, 96000, 176400, 192000]
    for (const from of usual) for (const to of usual) expect(isConvertible(from, to)).toBe(true)
    expect(isConvertible(44101, 48000)).toBe(false)
    expect(isConvertible(44100.5, 48000)).toBe(false)
    expect(isConvertible(4000, 48000)).toBe(false)
    expect(isConvertible(384000, 48000)).toBe(false)
    expect(() => createRateConverter(44101, 48000)).toThrow(RangeError)
  })
})
