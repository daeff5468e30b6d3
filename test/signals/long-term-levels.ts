// Third-octave long-term levels of a sound as the voice analysis has them, against noise
// that was shaped to levels somebody else gave.

import { createFrameSpectrum } from '../../app/dsp/analysis/spectra/frame-spectrum.ts'
import { createFramer } from '../../app/dsp/analysis/spectra/framer.ts'
import { createLongTermSpectrum, longFramePoints } from '../../app/dsp/analysis/spectra/long-term-spectrum.ts'
import { THIRD_OCTAVES, thirdOctaveAt } from '../../app/dsp/analysis/spectra/third-octaves.ts'
import { ANSI_S3_5_1997, BYRNE_1994 } from './published-speech.ts'
import { bandNoise } from './shaped-noise.ts'

export const LEVELS_RATE_HZ = 48_000
export const LOG2_FRAMES = 20

/** Level in dBFS of each of `THIRD_OCTAVES`; null where there is nothing. */
export function longTermLevels(samples: Float64Array): readonly (number | null)[] {
  const points = longFramePoints(LEVELS_RATE_HZ)
  const spectrum = createFrameSpectrum(points, LEVELS_RATE_HZ)
  const long = createLongTermSpectrum(LEVELS_RATE_HZ)
  createFramer(points, points / 2).add(samples, samples.length, (frame) => {
    spectrum.measure(frame)
    long.take(spectrum)
  })
  return long.between(-200, 100)!.levelsDbfs
}

/** Error in dB of each band's level, of noise shaped to the levels wanted. */
export function bandErrorsDb(wantedDb: ReadonlyMap<number, number>, seed: number): Map<number, number> {
  const bands = [...wantedDb].map(([nominalHz, levelDb]) => ({
    ...THIRD_OCTAVES[thirdOctaveAt(nominalHz)],
    levelDb,
  }))
  const levels = longTermLevels(bandNoise(bands, LOG2_FRAMES, LEVELS_RATE_HZ, seed))
  return new Map(
    [...wantedDb].map(([nominalHz, levelDb]) => [nominalHz, levels[thirdOctaveAt(nominalHz)]! - levelDb]),
  )
}

/** Levels of noise that rises by so many dB per decade in third octaves: 10 for white, 0 for pink. */
export const slopedLevelsDb = (dbPerDecade: number): ReadonlyMap<number, number> =>
  new Map(
    THIRD_OCTAVES.map(({ nominalHz, midHz }) => [nominalHz, -60 + dbPerDecade * Math.log10(midHz / 1000)]),
  )

/** Byrne et al. 1994, from 90 dB SPL as full scale. */
export const byrneLevelsDb = (speakers: 'men' | 'women'): ReadonlyMap<number, number> =>
  new Map(BYRNE_1994.map((row) => [row[0], row[speakers === 'men' ? 1 : 2] - 90]))

/** ANSI S3.5-1997 as band levels, from 90 dB SPL as full scale. */
export const ansiLevelsDb = (effort: 'normal' | 'raised'): ReadonlyMap<number, number> =>
  new Map(
    ANSI_S3_5_1997.map((row) => {
      const { lowerHz, upperHz } = THIRD_OCTAVES[thirdOctaveAt(row[0])]
      return [row[0], row[effort === 'normal' ? 1 : 2] + 10 * Math.log10(upperHz - lowerHz) - 90]
    }),
  )

/**
 * Bands beside a step of 6 dB and more also hear the flank of the 85 ms window: 125 Hz of Byrne's women lies 13 dB
 * under 160 Hz, and 200 Hz of raised effort 6 dB under 250 Hz. Their error is this much in dB at most (our choice).
 */
export const BESIDE_STEPS: Readonly<
  Record<'men' | 'women' | 'normal' | 'raised', ReadonlyMap<number, number>>
> = {
  men: new Map(),
  women: new Map([
    [125, 5],
    [160, 1.5],
  ]),
  normal: new Map(),
  raised: new Map([[200, 0.8]]),
}

/** Analogue bell (W3C Audio EQ Cookbook prototype) averaged in power over a band. */
export function bellOverBandDb(
  centreHz: number,
  gainDb: number,
  q: number,
  fromHz: number,
  toHz: number,
): number {
  const a = 10 ** (gainDb / 40)
  let sum = 0
  const steps = 200
  for (let i = 0; i < steps; i++) {
    const w = (fromHz + ((i + 0.5) * (toHz - fromHz)) / steps) / centreHz
    const real = (1 - w * w) ** 2
    sum += (real + ((a / q) * w) ** 2) / (real + (w / (a * q)) ** 2)
  }
  return 10 * Math.log10(sum / steps)
}
