import { describe, expect, it } from 'vitest'
import { tone } from '../../signals/tones.ts'
import { createTpdfDither } from '../reference/tpdf-dither.ts'

const FRAMES = 480_000

/** Errors of one channel in LSB. */
function errorsLsb(input: Float64Array, bits: number, channel = 0): Float64Array {
  const dither = createTpdfDither(20, 2)
  const scale = 2 ** (bits - 1)
  return input.map((sample) => dither.quantise(channel, sample, bits) - sample * scale)
}

const meanOf = (values: Float64Array) => values.reduce((sum, value) => sum + value, 0) / values.length

function correlation(a: Float64Array, b: Float64Array): number {
  let ab = 0
  let aa = 0
  let bb = 0
  for (let i = 0; i < a.length; i++) {
    ab += a[i] * b[i]
    aa += a[i] * a[i]
    bb += b[i] * b[i]
  }
  return ab / Math.sqrt(aa * bb)
}

// Total error power LSB^2 / 4: Lipshitz, Wannamaker and Vanderkooy, JAES 40(5), 1992;
// Wannamaker et al., IEEE Trans. Signal Process. 48(2), 2000. Floors in dBFS re a
// full-scale sine for 10 s at 48 kHz.
describe('TPDF dither', () => {
  it.each([
    [16, -93.32],
    [20, -117.4],
    [24, -141.48],
  ])('at %i bit has a floor of %d dBFS (figure F9: 0.2 dB)', (bits, floorDbfs) => {
    const errors = errorsLsb(tone(FRAMES, 48000, 997, 0.5), bits)
    const rms = Math.sqrt(meanOf(errors.map((error) => error * error))) * 2 ** (1 - bits)
    const levelDbfs = 20 * Math.log10(rms * Math.SQRT2)
    console.info(`TPDF ${bits} bit: ${levelDbfs.toFixed(3)} dBFS`)
    expect(Math.abs(levelDbfs - floorDbfs)).toBeLessThan(0.1)
  })

  it('has the same error power whatever the signal: silence, half a step, a faint sine', () => {
    for (const input of [
      new Float64Array(FRAMES),
      new Float64Array(FRAMES).fill(0.5 / 32768),
      tone(FRAMES, 48000, 440, 0.7 / 32768),
    ]) {
      const errors = errorsLsb(input, 16)
      const powerDb = 10 * Math.log10(meanOf(errors.map((error) => error * error)) / 0.25)
      expect(Math.abs(powerDb)).toBeLessThan(0.05)
      // Five standard errors of the mean of an error of RMS 1/2.
      expect(Math.abs(meanOf(errors))).toBeLessThan((5 * 0.5) / Math.sqrt(FRAMES))
    }
  })

  it('leaves no correlation of error and signal, nor of the channels (5 standard errors)', () => {
    const faint = tone(FRAMES, 48000, 440, 0.7 / 32768)
    const left = errorsLsb(faint, 16, 0)
    const right = errorsLsb(faint, 16, 1)
    expect(Math.abs(correlation(left, faint))).toBeLessThan(5 / Math.sqrt(FRAMES))
    expect(Math.abs(correlation(left, right))).toBeLessThan(5 / Math.sqrt(FRAMES))
  })

  it('moves words by at most 1.5 steps: 2 LSB peak to peak and the rounding', () => {
    const errors = errorsLsb(tone(FRAMES, 48000, 997, 0.5), 16)
    const greatest = errors.reduce((most, error) => Math.max(most, Math.abs(error)), 0)
    expect(greatest).toBeLessThanOrEqual(1.5)
    expect(greatest).toBeGreaterThan(1.3)
  })

  it('is held at the end words, and gives the same words for the same seed', () => {
    const words = (sample: number) => {
      const dither = createTpdfDither(3, 1)
      return Array.from({ length: 50 }, () => dither.quantise(0, sample, 16))
    }
    expect(Math.max(...words(1.2))).toBe(32767)
    expect(Math.min(...words(1.2))).toBe(32767)
    expect(Math.max(...words(-1.2))).toBe(-32768)
    expect(words(0.1)).toEqual(words(0.1))
  })
})
