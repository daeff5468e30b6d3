// Level, dynamics and long-term average spectrum of whole generated takes, against Byrne et al. (1994),
// J. Acoust. Soc. Am. 96, 2108-2120, Table II (male column), third-octave levels from 125 Hz to 8 kHz.
import { describe, expect, it } from 'vitest'
import { LEAD_DEVIATIONS, type Performance } from '../../../app/dsp/voice/performance.ts'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { bandPower, thirdOctaveLevelDb, welchSpectrum } from '../../signals/speech-measures.ts'
import { exactPerformance, heldSyllable, plainScore, SUNG_ALTO } from '../../signals/voices.ts'

const RATE_HZ = 48000
const MALE_DB_SPL = [
  57.7, 56.8, 58.2, 59.7, 60, 62.4, 62.6, 60.6, 55.7, 53.1, 53.7, 52.3, 48.7, 48.9, 47, 46, 44.4, 43.3, 42.4,
]
/** Exact mid-bands of 125 Hz to 8 kHz, IEC 61260-1. */
const MID_BANDS_HZ = MALE_DB_SPL.map((_, i) => 1000 * 10 ** ((i - 9) / 10))

function lead(singer: Performance['singer']): Performance {
  return {
    singer,
    deviations: LEAD_DEVIATIONS,
    effortDb: 0,
    peakDbfs: -7,
    popLevelDb: -6,
    room: { reflections: [{ delayMs: 4, levelDb: -20 }], noiseFloorDbfs: -65 },
  }
}

const TAKES = [
  ['rapped verse', SEVEN_STAIRS_VERSE, RAP_BARITONE],
  ['hook of the alto', PAPER_LANTERNS_HOOK, SUNG_ALTO],
  ['hook of the baritone', PAPER_LANTERNS_HOOK, SUNG_BARITONE],
] as const

describe('long-term spectrum', () => {
  it.each([1, 2, 3])(
    'of the verse, seed %i: within 5.5 dB of Byrne et al. in every band, 2.5 dB RMS',
    (seed) => {
      const { samples } = renderVoice(SEVEN_STAIRS_VERSE, lead(RAP_BARITONE), { sampleRateHz: RATE_HZ, seed })
      const spectrum = welchSpectrum(samples, RATE_HZ, 8192)
      const differences = MID_BANDS_HZ.map((hz, i) => thirdOctaveLevelDb(spectrum, hz) - MALE_DB_SPL[i])
      const mean = differences.reduce((sum, value) => sum + value, 0) / differences.length
      const errors = differences.map((value) => value - mean)
      const rms = Math.sqrt(errors.reduce((sum, value) => sum + value * value, 0) / errors.length)
      expect(Math.max(...errors.map(Math.abs))).toBeLessThan(5.5)
      expect(rms).toBeLessThan(2.5)
    },
  )

  it.each(TAKES)(
    'of the %s: third octaves of 2 to 4 kHz on average 15 to 30 dB under the highest of 0.3 to 0.8 kHz; air above',
    (_name, score, singer) => {
      const { samples } = renderVoice(score, lead(singer), { sampleRateHz: RATE_HZ, seed: 1 })
      const spectrum = welchSpectrum(samples, RATE_HZ, 8192)
      const low = Math.max(...MID_BANDS_HZ.slice(4, 9).map((hz) => thirdOctaveLevelDb(spectrum, hz)))
      const high = MID_BANDS_HZ.slice(12, 16).map((hz) => thirdOctaveLevelDb(spectrum, hz))
      const under = low - high.reduce((sum, value) => sum + value, 0) / high.length
      expect(under).toBeGreaterThan(15)
      expect(under).toBeLessThan(30)
      // Ternström (2008): energy above 5 kHz is audible even 50 dB under the main peak.
      const airDb = 10 * Math.log10(bandPower(spectrum, 10000, 16000)) - low
      expect(airDb).toBeGreaterThan(-40)
    },
  )
})

describe('top of the voice', () => {
  it.each([
    ['alto', SUNG_ALTO],
    ['rapper', RAP_BARITONE],
  ])(
    'of the %s: 10 to 16 kHz of a vowel within 50 dB of its main peak (audible there, Ternström 2008), mostly breath',
    (_name, singer) => {
      const topDb = (breathinessDb: number): number => {
        const performance = exactPerformance({ ...singer, breathinessDb })
        const { samples } = renderVoice(heldSyllable('AA'), performance, { sampleRateHz: RATE_HZ, seed: 1 })
        const spectrum = welchSpectrum(samples.subarray(1.2 * RATE_HZ, 2.3 * RATE_HZ), RATE_HZ, 8192)
        const mainDb = Math.max(...MID_BANDS_HZ.map((hz) => thirdOctaveLevelDb(spectrum, hz)))
        return 10 * Math.log10(bandPower(spectrum, 10000, 16000)) - mainDb
      }
      const withBreathDb = topDb(singer.breathinessDb)
      expect(withBreathDb).toBeGreaterThan(-50)
      expect(withBreathDb).toBeLessThan(-20)
      expect(withBreathDb - topDb(-90)).toBeGreaterThan(6)
    },
  )

  it('no click where sounds glide into each other: above 12 kHz nothing of 5 ms stands out by 8 dB', () => {
    const rows = Array.from({ length: 8 }, (_, i) => [i / 4, 0.25, 0, i % 2 === 0 ? 'M AA' : 'N IY'] as const)
    const { samples } = renderVoice(plainScore(2.5, rows), exactPerformance(RAP_BARITONE), {
      sampleRateHz: RATE_HZ,
      seed: 1,
    })
    const tops: number[] = []
    for (let start = RATE_HZ; start < 3 * RATE_HZ; start += 128) {
      const spectrum = welchSpectrum(samples.subarray(start, start + 256), RATE_HZ, 256)
      tops.push(10 * Math.log10(bandPower(spectrum, 12000, 22000)))
    }
    // The loudest moments of the vowels' own breath are the measure; a click would be a peak above all of them.
    const sorted = tops.sort((a, b) => b - a)
    expect(sorted[0] - sorted[Math.floor(tops.length * 0.1)]).toBeLessThan(8)
  })
})

describe('level', () => {
  it.each(TAKES)(
    'of the %s: peak -7 dBFS, crest 12 to 18 dB where it sounds, |mean| under -60 dBFS',
    (_name, score, singer) => {
      const { samples } = renderVoice(score, lead(singer), { sampleRateHz: RATE_HZ, seed: 2 })
      const frame = RATE_HZ / 100
      let peak = 0
      let sum = 0
      const powers: number[] = []
      for (let start = 0; start + frame <= samples.length; start += frame) {
        let power = 0
        for (let n = start; n < start + frame; n++) {
          peak = Math.max(peak, Math.abs(samples[n]))
          sum += samples[n]
          power += samples[n] ** 2 / frame
        }
        powers.push(power)
      }
      const sounding = powers.filter((power) => power > Math.max(...powers) / 1000)
      const rmsDb = 10 * Math.log10(sounding.reduce((total, power) => total + power, 0) / sounding.length)
      const peakDb = 20 * Math.log10(peak)
      // The noise floor comes after the gain was set, so it moves the peak by its own height.
      expect(peakDb).toBeCloseTo(-7, 1)
      expect(peakDb - rmsDb).toBeGreaterThan(12)
      expect(peakDb - rmsDb).toBeLessThan(18)
      expect(20 * Math.log10(Math.abs(sum / samples.length))).toBeLessThan(-60)
    },
  )

  it('loud and soft phrases: the verse moves by 6 dB or more from its softest to its loudest', () => {
    const { samples, truth } = renderVoice(SEVEN_STAIRS_VERSE, lead(RAP_BARITONE), {
      sampleRateHz: RATE_HZ,
      seed: 2,
    })
    const levels = SEVEN_STAIRS_VERSE.phrases.map((_, phraseIndex) => {
      const own = truth.syllables.filter((syllable) => syllable.phraseIndex === phraseIndex)
      const phrase = samples.subarray(
        Math.round(own[0].vowelStartSeconds * RATE_HZ),
        Math.round(own[own.length - 1].endSeconds * RATE_HZ),
      )
      return 10 * Math.log10(phrase.reduce((total, value) => total + value * value, 0) / phrase.length)
    })
    expect(Math.max(...levels) - Math.min(...levels)).toBeGreaterThan(6)
  })
})
