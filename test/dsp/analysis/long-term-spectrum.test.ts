// Third-octave long-term spectra of noise with known levels: white, pink, and published
// speech spectra.

import { describe, expect, it } from 'vitest'
import { THIRD_OCTAVES, thirdOctaveAt } from '../../../app/dsp/analysis/spectra/third-octaves.ts'
import { voiceBandsOf } from '../../../app/dsp/analysis/spectra/voice-bands.ts'
import {
  ansiLevelsDb,
  BESIDE_STEPS,
  bandErrorsDb,
  bellOverBandDb,
  byrneLevelsDb,
  LEVELS_RATE_HZ,
  LOG2_FRAMES,
  longTermLevels,
  slopedLevelsDb,
} from '../../signals/long-term-levels.ts'
import { bandNoise } from '../../signals/shaped-noise.ts'
import { throughBand } from '../../signals/voice-takes.ts'

function report(name: string, errors: ReadonlyMap<number, number>): void {
  console.log(`${name}: ${[...errors].map(([hz, error]) => `${hz} ${error.toFixed(2)}`).join(', ')}`)
}

describe('third-octave bands', () => {
  it('follow IEC 61260-1: 1 kHz from 891.25 to 1122.02 Hz, 26 contiguous bands from 50 Hz to 16 kHz', () => {
    const kilohertz = THIRD_OCTAVES[thirdOctaveAt(1000)]
    expect(kilohertz.lowerHz).toBeCloseTo(891.2509, 4)
    expect(kilohertz.upperHz).toBeCloseTo(1122.0185, 4)
    expect(THIRD_OCTAVES).toHaveLength(26)
    for (let i = 1; i < THIRD_OCTAVES.length; i++) {
      expect(THIRD_OCTAVES[i].lowerHz).toBeCloseTo(THIRD_OCTAVES[i - 1].upperHz, 6)
    }
    expect(() => thirdOctaveAt(70)).toThrow(RangeError)
  })
})

describe('long-term spectrum', () => {
  it.each([
    ['white', 10],
    ['pink', 0],
  ])(
    'of %s noise: every band from 80 Hz is within 0.3 dB of the level expected from its bandwidth',
    (_name, dbPerDecade) => {
      const errors = bandErrorsDb(slopedLevelsDb(dbPerDecade), 5)
      report(_name, errors)
      for (const [nominalHz, error] of errors) {
        if (nominalHz >= 80) expect(Math.abs(error), `${nominalHz} Hz`).toBeLessThan(0.3)
      }
    },
  )

  it.each(['men', 'women'] as const)(
    'Byrne et al. 1994, %s: every band from 100 Hz to 16 kHz within 0.5 dB, except next to a step',
    (name) => {
      const errors = bandErrorsDb(byrneLevelsDb(name), 3)
      report(`Byrne ${name}`, errors)
      for (const [nominalHz, error] of errors) {
        if (nominalHz < 100) continue
        expect(Math.abs(error), `${nominalHz} Hz`).toBeLessThan(BESIDE_STEPS[name].get(nominalHz) ?? 0.5)
      }
    },
  )

  it.each(['normal', 'raised'] as const)(
    'ANSI S3.5-1997, %s effort: every band within 0.5 dB, except next to a step',
    (name) => {
      const errors = bandErrorsDb(ansiLevelsDb(name), 4)
      report(`ANSI ${name}`, errors)
      for (const [nominalHz, error] of errors) {
        expect(Math.abs(error), `${nominalHz} Hz`).toBeLessThan(BESIDE_STEPS[name].get(nominalHz) ?? 0.5)
      }
    },
  )

  it('shows a 6 dB bell at 1 kHz (Q 4) within 0.5 dB, and no boost an octave above', () => {
    const flat = bandNoise([{ lowerHz: 40, upperHz: 20_000, levelDb: -30 }], LOG2_FRAMES, LEVELS_RATE_HZ, 6)
    const before = longTermLevels(flat)
    const after = longTermLevels(throughBand(flat, 'bell', 1000, 6, 4))
    const lift = (nominalHz: number): number =>
      after[thirdOctaveAt(nominalHz)]! - before[thirdOctaveAt(nominalHz)]!
    // The bell's power averaged over the band of 891 to 1122 Hz, from |H|^2 of the Audio EQ Cookbook's bell.
    expect(Math.abs(lift(1000) - bellOverBandDb(1000, 6, 4, 891.25, 1122.02))).toBeLessThan(0.5)
    expect(Math.abs(lift(2000))).toBeLessThan(0.5)
    expect(Math.abs(lift(4000))).toBeLessThan(0.1)
  })

  it('measures mud: a 4 dB boost from 200 to 500 Hz reads as 4 dB within 0.3 dB', () => {
    const bands = THIRD_OCTAVES.map((band) => ({ ...band, levelDb: -40 }))
    const muddy = bands.map((band) =>
      band.nominalHz >= 200 && band.nominalHz <= 500 ? { ...band, levelDb: -36 } : band,
    )
    const plainDb = voiceBandsOf(longTermLevels(bandNoise(bands, 19, LEVELS_RATE_HZ, 7))).mudDb!
    const muddyDb = voiceBandsOf(longTermLevels(bandNoise(muddy, 19, LEVELS_RATE_HZ, 7))).mudDb!
    expect(Math.abs(muddyDb - plainDb - 4)).toBeLessThan(0.3)
  })
})
