// The whole analysis: block sizes, sample rates and channels; silence, too little voice and music; and real
// speech.

import { execFileSync } from 'node:child_process'
import { describe, expect, it } from 'vitest'
import { VoiceAnalysis } from '../../../app/contract/voice-analysis.ts'
import { createRateConverter } from '../../../app/dsp/conversion/rate-conversion.ts'
import { PAPER_LANTERNS_HOOK } from '../../../app/dsp/voice/songs/paper-lanterns.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import { analyse, listen } from '../../signals/listening.ts'
import { musicLoop } from '../../signals/music-loop.ts'
import { longTake, VOICE_RATE_HZ } from '../../signals/voice-takes.ts'
import { SUNG_ALTO } from '../../signals/voices.ts'

const take = longTake(SUNG_ALTO, PAPER_LANTERNS_HOOK, 2, 7)
const whole = analyse(take)

describe('voice analysis', () => {
  it('is plain data that matches the schema of the contract', () => {
    expect(VoiceAnalysis.parse(JSON.parse(JSON.stringify(whole)))).toEqual(whole)
  })

  it.each([777, 4096, 100_000])('gives the same result in blocks of %d frames', (blockFrames) => {
    expect(listen([take], VOICE_RATE_HZ, blockFrames)).toEqual(whole)
  })

  it('analyses the mean of two channels, and also channels of opposite polarity', () => {
    expect(listen([take, take])).toEqual(whole)
    const opposite = listen([take, take.map((x) => -x)])
    expect(opposite.outcome).toBe('analysed')
  })

  it.each([44_100, 96_000])(
    'at %d Hz: pitch within 10 cents, bands within 1 dB, number of sibilants within 2',
    (rateHz) => {
      const converter = createRateConverter(VOICE_RATE_HZ, rateHz)
      const converted = new Float64Array(converter.outputFrames(take.length))
      converter.convert(take, 0, converted, 0, converted.length)
      const analysis = listen([converted], rateHz)
      if (analysis.outcome !== 'analysed') throw new Error(analysis.outcome)
      expect(
        Math.abs(1200 * Math.log2(analysis.fundamental.medianHz / whole.fundamental.medianHz)),
      ).toBeLessThan(10)
      for (const [i, level] of whole.spectrum.levelsDbfs.entries()) {
        // Below the voice there is only noise and the leakage of F0, which depends on the analysis window.
        if (i >= 7) expect(Math.abs(analysis.spectrum.levelsDbfs[i]! - level!), `band ${i}`).toBeLessThan(1)
      }
      expect(Math.abs(analysis.sibilance.events.length - whole.sibilance.events.length)).toBeLessThanOrEqual(
        2,
      )
    },
  )

  it('finds the noise floor of -65 dBFS within 1 dB, with and without digital silence around the take', () => {
    const edited = new Float64Array(take.length * 2)
    edited.set(take, take.length >> 1)
    for (const { noise } of [whole, analyse(edited)]) {
      expect(Math.abs(noise!.levelDbfs + 65)).toBeLessThan(1)
    }
  })

  it('finds the same pitch, balance and sibilants when the take is 20 dB quieter', () => {
    const quiet = analyse(take.map((x) => x / 10))
    expect(quiet.fundamental.medianHz).toBeCloseTo(whole.fundamental.medianHz, 6)
    expect(quiet.bands.mudDb).toBeCloseTo(whole.bands.mudDb!, 1)
    expect(quiet.sibilance.events).toHaveLength(whole.sibilance.events.length)
    expect(quiet.voiceLevelDbfs - whole.voiceLevelDbfs).toBeCloseTo(-20, 1)
  })
})

describe('takes that cannot be analysed', () => {
  const refusal = (samples: Float64Array) => {
    const analysis = listen([samples])
    if (analysis.outcome === 'analysed') throw new Error('it was analysed')
    return analysis
  }

  it('silence', () => {
    expect(refusal(new Float64Array(20 * VOICE_RATE_HZ))).toMatchObject({ why: 'silent', takeSeconds: 20 })
    expect(refusal(new Float64Array(0))).toMatchObject({ why: 'silent', takeSeconds: 0 })
  })

  it('0.3 s of voice', () => {
    const start = Math.round(whole.sibilance.events[0].endSeconds * VOICE_RATE_HZ)
    const short = refusal(take.subarray(start, start + 0.3 * VOICE_RATE_HZ))
    expect(short).toMatchObject({ why: 'too-short', neededSeconds: 10 })
    expect(short.activeSeconds).toBeGreaterThan(0.15)
    expect(short.activeSeconds).toBeLessThan(0.35)
  })

  it('a music loop of drums, bass and chords', () => {
    expect(refusal(musicLoop(20, VOICE_RATE_HZ))).toMatchObject({ why: 'unpitched' })
  })
})

const CLIPS = [
  'Front_Center',
  'Front_Left',
  'Front_Right',
  'Rear_Center',
  'Rear_Left',
  'Rear_Right',
  'Side_Left',
  'Side_Right',
]
const paths = CLIPS.map((name) => `/usr/share/sounds/alsa/${name}.wav`)

it.skipIf(!haveMaterial(...paths) || !hasTool('sox'))(
  'real speech (a woman, Debian’s alsa-utils clips, twice): F0 in the published range of women, /s/ above 5 kHz',
  () => {
    const raw = execFileSync('sox', [...paths, ...paths, '-r', '48000', '-c', '1', '-t', 'f32', '-'], {
      maxBuffer: 2 ** 28,
    })
    const speech = Float64Array.from({ length: raw.length / 4 }, (_, i) => raw.readFloatLE(4 * i))
    const { fundamental, sibilance, bands, resonances, activeSeconds } = analyse(speech)
    console.log(
      JSON.stringify({
        activeSeconds,
        fundamental,
        bands,
        resonances,
        s: sibilance.events.length,
        peakHz: sibilance.peakHz,
      }),
    )
    // Baken & Orlikoff 2000, p. 177: speaking F0 of women 165 to 255 Hz.
    expect(fundamental.medianHz).toBeGreaterThan(165)
    expect(fundamental.medianHz).toBeLessThan(255)
    expect(fundamental.octaveErrorPercent).toBeLessThan(2)
    // Two clips say "center" and two say "side", with one /s/ each, and every clip is there twice: 8 in all.
    expect(sibilance.events.length).toBeGreaterThanOrEqual(8)
    expect(sibilance.peakHz!).toBeGreaterThan(5000)
    expect(sibilance.peakHz!).toBeLessThan(10_000)
  },
)
