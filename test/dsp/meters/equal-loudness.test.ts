import { describe, expect, it } from 'vitest'
import {
  activeBlocks,
  createBlockPowers,
  loudnessDifferenceDb,
  matchGainsDb,
} from '../../../app/dsp/meters/equal-loudness.ts'
import { createLoudnessMeter } from '../../../app/dsp/meters/loudness.ts'
import { feed, tone, toneSequence } from '../../signals/tones.ts'

function powersOf(channels: readonly Float64Array[], sampleRateHz = 48000): Float64Array {
  const blocks = createBlockPowers({ sampleRateHz, channels: channels.length })
  feed(blocks.add, channels)
  return blocks.powers()
}

const phrases = toneSequence(
  Array.from({ length: 6 }, () => [
    { seconds: 1.1, peakDbfs: -12 },
    { seconds: 0.7, peakDbfs: -20 },
    { seconds: 0.6, peakDbfs: -50 },
  ]).flat(),
  48000,
  440,
)

describe('equal loudness', () => {
  it.each([-12, -0.5, 0, 3, 12])('a pure gain of %d dB is matched within 0.02 dB', (gainDb) => {
    const wet = phrases.map((sample) => sample * 10 ** (gainDb / 20))
    const difference = loudnessDifferenceDb(powersOf([phrases]), powersOf([wet]), 0, 1000)!
    expect(Math.abs(difference - gainDb)).toBeLessThanOrEqual(0.02)
  })

  it('makes one block per complete 100 ms, also at rates where 100 ms is not a whole number of samples', () => {
    expect(powersOf([tone(48000, 48000, 997, 1)])).toHaveLength(10)
    expect(powersOf([tone(48000 - 1, 48000, 997, 1)])).toHaveLength(9)
    expect(powersOf([tone(11025, 11025, 997, 1)], 11025)).toHaveLength(10)
  })

  it('a block of a 0 dBFS sine at 997 Hz is -3.01 LKFS (BS.1770-5 Annex 1) within 0.1 LU', () => {
    const power = powersOf([tone(48000, 48000, 997, 1)])[9]
    expect(Math.abs(-0.691 + 10 * Math.log10(power) + 3.01)).toBeLessThanOrEqual(0.1)
  })

  it('selects blocks with the gates of BS.1770-5 from the dry side alone', () => {
    const active = activeBlocks(powersOf([phrases]))
    const share = active.reduce((sum, block) => sum + block, 0) / active.length
    // 1.8 of every 2.4 s are within 10 LU of the loudest; the pauses are not.
    expect(Math.abs(share - 1.8 / 2.4)).toBeLessThanOrEqual(0.05)
    expect([...activeBlocks(new Float64Array([0, 1e-9]))]).toEqual([0, 0])
  })

  it('a wet side whose pauses are raised does not count as louder', () => {
    // As slow levelling does: raised pauses, unchanged phrases. With its own gate, the wet side would include
    // its pauses and read quieter.
    const wet = toneSequence(
      Array.from({ length: 6 }, () => [
        { seconds: 1.1, peakDbfs: -12 },
        { seconds: 0.7, peakDbfs: -20 },
        { seconds: 0.6, peakDbfs: -21 },
      ]).flat(),
      48000,
      440,
    )
    const own = (signal: Float64Array) => {
      const meter = createLoudnessMeter({ sampleRateHz: 48000, channels: 1 })
      feed(meter.add, [signal])
      return meter.integratedLufs()!
    }
    expect(Math.abs(loudnessDifferenceDb(powersOf([phrases]), powersOf([wet]), 0, 1000)!)).toBeLessThan(0.1)
    expect(Math.abs(own(wet) - own(phrases))).toBeGreaterThan(0.3)
  })

  it('compares mono with stereo as loudness does: two equal channels are 3.01 dB louder', () => {
    const difference = loudnessDifferenceDb(powersOf([phrases]), powersOf([phrases, phrases]), 0, 50)!
    expect(difference).toBeCloseTo(3.0103, 3)
  })

  it('compares only the requested span', () => {
    const wet = phrases.slice()
    for (let n = 0; n < 48000; n++) wet[n] *= 2
    const dryPowers = powersOf([phrases])
    const wetPowers = powersOf([wet])
    expect(loudnessDifferenceDb(dryPowers, wetPowers, 0, 10)).toBeCloseTo(6.0206, 3)
    expect(Math.abs(loudnessDifferenceDb(dryPowers, wetPowers, 24, 60)!)).toBeLessThan(0.001)
  })

  it('has no value where there is nothing to compare', () => {
    const silence = powersOf([new Float64Array(48000)])
    const sound = powersOf([phrases])
    expect(loudnessDifferenceDb(silence, sound, 0, 10)).toBeNull()
    expect(loudnessDifferenceDb(sound, silence, 0, 10)).toBeNull()
    expect(loudnessDifferenceDb(sound, sound, 5, 5)).toBeNull()
  })

  it('lowers the louder side and raises neither', () => {
    expect(matchGainsDb(4)).toEqual({ dryDb: 0, wetDb: -4 })
    expect(matchGainsDb(-2.5)).toEqual({ dryDb: -2.5, wetDb: 0 })
    const { dryDb, wetDb } = matchGainsDb(0)
    expect(Math.abs(dryDb) + Math.abs(wetDb)).toBe(0)
  })
})
