import { describe, expect, it } from 'vitest'
import { createStrandMeter, STRAND_NAMES } from '../../../app/dsp/meters/strands.ts'
import { feed, tone, toneCluster, toneSequence } from '../../signals/tones.ts'

function levelsOf(channels: readonly Float64Array[], sampleRateHz: number, blockFrames?: number) {
  const meter = createStrandMeter({ sampleRateHz, channels: channels.length })
  feed(meter.add, channels, blockFrames)
  return meter.levelsDbfs()
}

function powerSumDb(levels: readonly (number | null)[]): number {
  return (
    10 * Math.log10(levels.reduce<number>((sum, level) => sum + (level === null ? 0 : 10 ** (level / 10)), 0))
  )
}

describe('strands', () => {
  // RMS of a sine is 3.0103 dB under its peak (arithmetic); the rest is leakage of the window.
  it.each([
    ['rumble', 60],
    ['mud', 270],
    ['body', 800],
    ['edge', 3000],
    ['sibilance', 7000],
    ['air', 14000],
  ] as const)(
    'a full-scale sine in %s (%d Hz) reads -3.01 dBFS there within 0.05 dB, and 25 dB less elsewhere',
    (name, frequencyHz) => {
      for (const rate of [44100, 48000, 96000, 192000]) {
        const levels = levelsOf([tone(rate, rate, frequencyHz, 1)], rate)
        const own = STRAND_NAMES.indexOf(name)
        expect(Math.abs(levels[own]! + 3.0103)).toBeLessThanOrEqual(0.05)
        levels.forEach((level, i) => {
          if (i !== own) expect(level ?? -Infinity).toBeLessThan(-28)
        })
      }
    },
  )

  it('powers of the strands add up to the mean square, within 0.02 dB (Parseval)', () => {
    const signal = toneCluster(96000, 48000, 30, 23000, 173, 0.9)
    const meanSquare = signal.reduce((sum, sample) => sum + sample * sample, 0) / signal.length
    expect(Math.abs(powerSumDb(levelsOf([signal], 48000)) - 10 * Math.log10(meanSquare))).toBeLessThanOrEqual(
      0.02,
    )
  })

  it('a sine on an edge is shared, neither lost nor counted twice: -3.01 dBFS in all within 0.01 dB', () => {
    for (const frequencyHz of [150, 400, 1500, 5000, 10000]) {
      expect(
        Math.abs(powerSumDb(levelsOf([tone(48000, 48000, frequencyHz, 1)], 48000)) + 3.0103),
      ).toBeLessThan(0.01)
    }
  })

  it('a flat spectrum splits by bandwidth, within 0.2 dB', () => {
    const signal = toneCluster(96000, 48000, 5, 23995, 2400, 1)
    const levels = levelsOf([signal], 48000)
    const widthsHz = [150, 250, 1100, 3500, 5000, 14000]
    const total = powerSumDb(levels)
    widthsHz.forEach((widthHz, i) => {
      expect(
        Math.abs(levels[i]! - total - 10 * Math.log10(widthHz / 24000)),
        STRAND_NAMES[i],
      ).toBeLessThanOrEqual(0.2)
    })
  })

  it('takes the mean of the channels', () => {
    const signal = tone(48000, 48000, 800, 0.5)
    const both = levelsOf([signal, signal], 48000)[2]!
    const one = levelsOf([signal, new Float64Array(48000)], 48000)[2]!
    expect(both).toBeCloseTo(levelsOf([signal], 48000)[2]!, 9)
    expect(one).toBeCloseTo(both - 3.0103, 3)
  })

  it('counts active frames only: pauses do not lower the level', () => {
    const phrases = toneSequence(
      Array.from({ length: 5 }, () => [
        { seconds: 1, peakDbfs: -12 },
        { seconds: 2, peakDbfs: -60 },
      ]).flat(),
      48000,
      800,
    )
    expect(Math.abs(levelsOf([phrases], 48000)[2]! - (-12 - 3.01))).toBeLessThanOrEqual(0.25)
  })

  it('has no value for silence, for too little sound, and above half the rate', () => {
    const nothing = [null, null, null, null, null, null]
    expect(levelsOf([new Float64Array(48000)], 48000)).toEqual(nothing)
    expect(levelsOf([tone(2000, 48000, 800, 1)], 48000)).toEqual(nothing)
    const speechRate = levelsOf([toneCluster(16000, 8000, 20, 3900, 50, 1)], 8000)
    expect(speechRate.slice(4)).toEqual([null, null])
    expect(speechRate.slice(0, 4).every((level) => level !== null)).toBe(true)
  })

  it('reads the same in blocks of any size', () => {
    const signal = toneCluster(48000, 48000, 100, 9000, 31, 0.7)
    expect(levelsOf([signal], 48000, 77)).toEqual(levelsOf([signal], 48000, 48000))
  })

  it('reads the same at the end, whenever it was read before', () => {
    const signal = toneCluster(20_000, 48000, 100, 9000, 31, 0.7)
    const meter = createStrandMeter({ sampleRateHz: 48000, channels: 1 })
    for (let at = 0; at < signal.length; at += 500) {
      meter.add([signal.subarray(at, at + 500)], 500)
      const soFar = levelsOf([signal.subarray(0, at + 500)], 48000)
      expect(meter.levelsDbfs()).toEqual(soFar)
    }
  })
})
