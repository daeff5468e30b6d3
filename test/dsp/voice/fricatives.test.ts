// Spectra and levels of generated fricatives against Jongman, Wayland & Wong (2000), J. Acoust. Soc. Am. 108,
// 1252-1263: averages of 20 talkers recorded up to 11 kHz. Tolerances are ours.
import { describe, expect, it } from 'vitest'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { spectralMeanHz, spectralPeakHz, welchSpectrum } from '../../signals/speech-measures.ts'
import { exactPerformance, repeatedSyllable, SUNG_ALTO, steady } from '../../signals/voices.ts'

const RATE_HZ = 48000
const TIMES = 12
const HIGHEST_HZ = 11000
const SINGERS = [
  { of: 'men', singer: steady(RAP_BARITONE, 120) },
  { of: 'women', singer: steady(SUNG_ALTO, 210) },
] as const

function rmsDb(samples: Float32Array): number {
  let power = 0
  for (const value of samples) power += value * value
  return 10 * Math.log10(power / samples.length)
}

/** Spectrum of all instances of a consonant before AE, and the median of their levels relative to their vowels. */
function measure(consonant: string, lengthSeconds: number, singer: (typeof SINGERS)[number]['singer']) {
  const { samples, truth } = renderVoice(
    repeatedSyllable(`${consonant} AE`, TIMES),
    exactPerformance(singer),
    {
      sampleRateHz: RATE_HZ,
      seed: 11,
    },
  )
  const stretches: Float32Array[] = []
  const levelsDb: number[] = []
  for (const { vowelStartSeconds } of truth.syllables) {
    const at = (seconds: number) => Math.round((vowelStartSeconds + seconds) * RATE_HZ)
    const stretch = samples.subarray(at(-lengthSeconds + 0.02), at(-0.03))
    stretches.push(stretch)
    levelsDb.push(rmsDb(stretch) - rmsDb(samples.subarray(at(0.05), at(0.35))))
  }
  const joined = new Float32Array(stretches.reduce((sum, stretch) => sum + stretch.length, 0))
  let filled = 0
  for (const stretch of stretches) {
    joined.set(stretch, filled)
    filled += stretch.length
  }
  return {
    spectrum: welchSpectrum(joined, RATE_HZ, 1024),
    levelDb: levelsDb.sort((a, b) => a - b)[TIMES >> 1],
  }
}

describe('fricatives, Jongman et al. 2000', () => {
  for (const { of, singer } of SINGERS) {
    it(`/s/ of ${of}: peak 6839 Hz and mean 6133 Hz within 12 %, 11 dB below the vowel within 3 dB`, () => {
      const { spectrum, levelDb } = measure('S', 0.115, singer)
      const peakHz = spectralPeakHz(spectrum, 1000, HIGHEST_HZ, 500)
      const meanHz = spectralMeanHz(spectrum, 500, HIGHEST_HZ)
      expect(Math.abs(peakHz / 6839 - 1)).toBeLessThan(0.12)
      expect(Math.abs(meanHz / 6133 - 1)).toBeLessThan(0.12)
      expect(Math.abs(levelDb + 11)).toBeLessThan(3)
    })

    it(`/sh/ of ${of}: peak 3820 Hz and mean 4229 Hz within 12 %`, () => {
      const { spectrum } = measure('SH', 0.115, singer)
      expect(Math.abs(spectralPeakHz(spectrum, 1000, HIGHEST_HZ, 500) / 3820 - 1)).toBeLessThan(0.12)
      expect(Math.abs(spectralMeanHz(spectrum, 500, HIGHEST_HZ) / 4229 - 1)).toBeLessThan(0.12)
    })

    it(`/f/ of ${of}: mean 5108 Hz within 20 %, at least 10 dB weaker than /s/ and flatter`, () => {
      const f = measure('F', 0.09, singer)
      const s = measure('S', 0.115, singer)
      expect(Math.abs(spectralMeanHz(f.spectrum, 500, HIGHEST_HZ) / 5108 - 1)).toBeLessThan(0.2)
      expect(s.levelDb - f.levelDb).toBeGreaterThan(10)
      expect(crestDb(f.spectrum.power)).toBeLessThan(crestDb(s.spectrum.power) - 2)
    })
  }
})

/** Peak-to-mean ratio of a power spectrum up to 11 kHz. */
function crestDb(power: Float64Array): number {
  const part = power.subarray(10, Math.round((HIGHEST_HZ / RATE_HZ) * 1024))
  return 10 * Math.log10((Math.max(...part) * part.length) / part.reduce((sum, value) => sum + value, 0))
}
