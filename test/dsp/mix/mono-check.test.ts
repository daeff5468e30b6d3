// Sides whose sum is known: power of (l + r) / sqrt 2 over that of both is (1 + rho) / 2 for sides
// of equal power and correlation rho, hence 0, -3.01 dB and nothing for 1, 0 and -1; a copy that
// comes tau later has its first notch at 1 / (2 tau).

import { describe, expect, it } from 'vitest'
import { createMonoCheck, type MonoFacts } from '../../../app/dsp/mix/mono-check.ts'
import { addWhiteNoise } from '../../signals/checking.ts'
import { feed, tone } from '../../signals/tones.ts'

const RATE = 48_000
const SECONDS = 5

function factsOf(left: Float64Array, right: Float64Array, blockFrames = 1024): MonoFacts {
  const check = createMonoCheck(RATE)
  feed(check.add, [left, right], blockFrames)
  return check.facts()
}
const noise = (seed: number): Float64Array => addWhiteNoise(new Float64Array(SECONDS * RATE), -20, seed)
const bandAt = ({ bands }: MonoFacts, nominalHz: number) =>
  bands.find((band) => band.nominalHz === nominalHz)!

describe('what is left in mono', () => {
  it('of alike sides: all of it', () => {
    const side = noise(1)
    const facts = factsOf(side, side)
    expect(facts.lossDb).toBeCloseTo(0, 9)
    for (const { lossDb } of facts.bands) expect(lossDb).toBeCloseTo(0, 9)
    expect(facts.correlationP5).toBeCloseTo(1, 9)
    expect(facts.opposedPercent).toBe(0)
  })

  it('of unrelated sides: half the power, in every band', () => {
    const facts = factsOf(noise(1), noise(2))
    expect(Math.abs(facts.lossDb! + 3.01)).toBeLessThan(0.1)
    for (const { lossDb, nominalHz } of facts.bands) {
      // A band of 100 Hz has some hundred independent values in 5 s: 0.5 dB and more of chance.
      if (nominalHz >= 200) expect(Math.abs(lossDb + 3.01), `${nominalHz} Hz`).toBeLessThan(0.6)
    }
    expect(Math.abs(facts.correlationP5!)).toBeLessThan(0.05)
    expect(facts.opposedPercent!).toBeGreaterThan(10)
    expect(facts.bands.reduce((sum, band) => sum + band.sharePercent, 0)).toBeCloseTo(100, 6)
  })

  it('of opposite sides: nothing', () => {
    const side = noise(1)
    const facts = factsOf(
      side,
      side.map((x) => -x),
    )
    expect(facts.lossDb).toBe(-150)
    expect(facts.correlationP5).toBeCloseTo(-1, 9)
    expect(facts.opposedPercent).toBe(100)
  })

  it('of a copy a millisecond late: the notch at 500 Hz, and nothing lost at 1 kHz', () => {
    const side = noise(1)
    const late = new Float64Array(side.length)
    late.set(side.subarray(0, side.length - 48), 48)
    const facts = factsOf(side, late)
    // Averaged over the third octave: (1 + mean of cos(2 pi f tau)) / 2 from 447 to 562 Hz, and from 891 to 1122 Hz.
    const expected = (fromHz: number, toHz: number): number => {
      const w = 2 * Math.PI * 0.001
      const mean = (Math.sin(w * toHz) - Math.sin(w * fromHz)) / (w * (toHz - fromHz))
      return 10 * Math.log10((1 + mean) / 2)
    }
    expect(bandAt(facts, 500).lossDb).toBeLessThan(-12)
    expect(Math.abs(bandAt(facts, 500).lossDb - expected(446.68, 562.34))).toBeLessThan(1)
    expect(Math.abs(bandAt(facts, 1000).lossDb - expected(891.25, 1122.02))).toBeLessThan(0.2)
  })

  it('of one side alone: 3 dB less, and correlation says nothing of silence', () => {
    const side = tone(SECONDS * RATE, RATE, 440, 0.2)
    const facts = factsOf(side, new Float64Array(side.length))
    expect(facts.lossDb).toBeCloseTo(-3.0103, 3)
    expect(facts.correlationP5).toBeNull()
    const silence = new Float64Array(RATE)
    expect(factsOf(silence, silence)).toEqual({
      lossDb: null,
      bands: [],
      correlationP5: null,
      opposedPercent: null,
    })
  })

  it('is the same in blocks of any size', () => {
    const whole = factsOf(noise(1), noise(2), 4096)
    expect(factsOf(noise(1), noise(2), 997)).toEqual(whole)
  })
})
