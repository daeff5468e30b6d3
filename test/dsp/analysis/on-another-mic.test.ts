// A take coloured by one invented mic, read as another mic would have heard it, against the
// same performance coloured by that other mic: the colouring is done on the sound.

import { beforeAll, describe, expect, it } from 'vitest'
import { onAnotherMic } from '../../../app/dsp/analysis/on-another-mic.ts'
import { startingSettings } from '../../../app/dsp/analysis/starting/starting-settings.ts'
import type { VoiceAnalysed } from '../../../app/dsp/analysis/voice-analysis.ts'
import { envelopeFrequencyHz } from '../../../app/dsp/analysis/voice-envelope.ts'
import type { Curve } from '../../../app/dsp/correction/curve.ts'
import { colourByMic } from '../../../app/dsp/voice/colour-by-mic.ts'
import { DEMO_CONDENSER, DEMO_DYNAMIC } from '../../../app/dsp/voice/demo-mics.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { analyse } from '../../signals/listening.ts'
import { longTake, VOICE_RATE_HZ } from '../../signals/voice-takes.ts'

const BRIGHT = DEMO_CONDENSER.curve
const DARK = DEMO_DYNAMIC.curve

function through(curve: Curve, seed: number): VoiceAnalysed {
  const sound = longTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 2, seed)
  return analyse(Float64Array.from(colourByMic(Float32Array.from(sound), curve, VOICE_RATE_HZ)))
}

let dark: VoiceAnalysed
let bright: VoiceAnalysed
beforeAll(() => {
  dark = through(DARK, 7)
  bright = through(BRIGHT, 7)
})

describe('a take read on another mic', () => {
  it('has that mic’s third octaves from 100 Hz to 12.5 kHz within 0.7 dB, but for the level of the whole', () => {
    const read = onAnotherMic(dark, DARK, BRIGHT)
    const errors = bright.spectrum.levelsDbfs
      .map((level, i) =>
        level === null || read.spectrum.levelsDbfs[i] === null ? null : read.spectrum.levelsDbfs[i] - level,
      )
      .slice(3, 25)
      .filter((error) => error !== null)
    const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length
    const apart = errors.map((error) => Math.abs(error - mean))
    console.log(`  third octaves: ${Math.max(...apart).toFixed(2)} dB apart at most`)
    expect(errors.length).toBe(22)
    expect(Math.max(...apart)).toBeLessThan(0.7)
    // Without it they are far apart.
    const plain = bright.spectrum.levelsDbfs
      .map((level, i) => dark.spectrum.levelsDbfs[i]! - level!)
      .slice(3, 25)
    expect(Math.max(...plain) - Math.min(...plain)).toBeGreaterThan(4)
  })

  it('has its balances within 0.5 dB, its sibilance within 1 dB, its envelope within 1 dB from 200 Hz to 8 kHz', () => {
    const read = onAnotherMic(dark, DARK, BRIGHT)
    for (const name of ['warmthDb', 'mudDb', 'boxyDb', 'nasalDb', 'harshDb', 'airDb'] as const) {
      expect(Math.abs(read.bands[name]! - bright.bands[name]!), name).toBeLessThan(0.5)
    }
    expect(Math.abs(read.sibilance.upperRatioDb! - bright.sibilance.upperRatioDb!)).toBeLessThan(1)
    const errors = bright.envelopeDb
      .map((level, i) => read.envelopeDb[i] - level)
      .filter((_, i) => envelopeFrequencyHz(i) > 200 && envelopeFrequencyHz(i) < 8000)
    const mean = errors.reduce((sum, error) => sum + error, 0) / errors.length
    expect(Math.max(...errors.map((error) => Math.abs(error - mean)))).toBeLessThan(1)
  })

  it('asks for no tone that only the mic would explain', () => {
    const history = [20, 40].map((seed) => through(DARK, seed))
    const toneOf = (earlier: readonly VoiceAnalysed[]) =>
      startingSettings(bright, earlier).find(({ stage }) => stage.kind === 'tone')
    expect(toneOf(history)).toBeDefined()
    expect(toneOf(history.map((one) => onAnotherMic(one, DARK, BRIGHT)))).toBeUndefined()
  })

  it('stays as it is on the same mic, and says nothing where a curve has no data', () => {
    expect(onAnotherMic(dark, DARK, DARK)).toEqual(dark)
    const short: Curve = { frequenciesHz: [200, 1000, 8000], levelsDb: [0, 0, 0] }
    const read = onAnotherMic(dark, DARK, short)
    expect(read.bands.airDb).toBeNull()
    expect(read.bands.harshDb).not.toBeNull()
    expect(read.spectrum.levelsDbfs[25]).toBeNull()
  })
})
