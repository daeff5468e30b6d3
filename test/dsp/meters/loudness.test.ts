import { describe, expect, it } from 'vitest'
import { createLoudnessMeter } from '../../../app/dsp/meters/loudness.ts'
import { feed, tone, toneSequence } from '../../signals/tones.ts'

function meterOf(channels: readonly Float64Array[], sampleRateHz = 48000, blockFrames?: number) {
  const meter = createLoudnessMeter({ sampleRateHz, channels: channels.length })
  feed(meter.add, channels, blockFrames)
  return meter
}

describe('integrated loudness, ITU-R BS.1770-5 Annex 1', () => {
  const fullScale = tone(5 * 48000, 48000, 997, 1)
  const silence = new Float64Array(5 * 48000)

  it('a 0 dBFS sine at 997 Hz in any one front channel is -3.01 LKFS within 0.1 LU', () => {
    for (const channels of [
      [fullScale],
      [fullScale, silence],
      [silence, fullScale],
      [silence, silence, fullScale, silence, silence],
    ]) {
      const reading = meterOf(channels).integratedLufs()!
      expect(Math.abs(reading - -3.01)).toBeLessThanOrEqual(0.1)
      // The exact value of eq. 2 is -3.009.
      expect(Math.abs(reading - -3.009)).toBeLessThanOrEqual(0.002)
    }
  })

  it('the same sine in both channels is 0.0 LKFS (eq. 2: a sum, not a mean)', () => {
    expect(Math.abs(meterOf([fullScale, fullScale]).integratedLufs()!)).toBeLessThanOrEqual(0.1)
  })

  it('reads -3.01 LKFS within 0.1 LU at sample rates from 16 to 192 kHz', () => {
    for (const rate of [16000, 22050, 32000, 44100, 88200, 96000, 176400, 192000]) {
      expect(
        Math.abs(meterOf([tone(2 * rate, rate, 997, 1)], rate).integratedLufs()! + 3.01),
      ).toBeLessThanOrEqual(0.1)
    }
  })

  it('weights a surround channel by 1.41 (Table 3) and ignores an LFE channel', () => {
    const left = meterOf([fullScale, silence, silence, silence, silence]).integratedLufs()!
    const surround = meterOf([silence, silence, silence, silence, fullScale]).integratedLufs()!
    expect(surround - left).toBeCloseTo(10 * Math.log10(1.41), 6)
    expect(meterOf([silence, silence, silence, fullScale, silence, silence]).integratedLufs()).toBeNull()
  })

  it('the absolute gate keeps only blocks above -70 LKFS (eq. 6)', () => {
    const at = (lufs: number) =>
      meterOf([tone(48000, 48000, 997, 10 ** ((lufs + 3.009) / 20))]).integratedLufs()
    expect(at(-69.9)).toBeCloseTo(-69.9, 1)
    expect(at(-70.1)).toBeNull()
  })

  it('ignores an incomplete last block (eq. 3): the first 0.5 s and 0.59 s of a signal read the same', () => {
    const signal = toneSequence(
      [
        { seconds: 0.5, peakDbfs: -20 },
        { seconds: 0.09, peakDbfs: 0 },
      ],
      48000,
      997,
    )
    expect(meterOf([signal]).integratedLufs()).toBe(meterOf([signal.slice(0, 24000)]).integratedLufs())
  })

  it('loudness range appends 1.5 s of silence (Tech 3342): 3 s of a tone read 10 log10(29/17) = 2.32 LU', () => {
    // Derived from its sections 3.1 and 5: the windows hold 15 to 30 thirtieths of the tone; in ascending
    // order of these 16 values, the 95th percentile is number 15 and the 10th is number 3.
    expect(meterOf([fullScale.slice(0, 3 * 48000)]).loudnessRangeLu()).toBeCloseTo(
      10 * Math.log10(29 / 17),
      2,
    )
  })

  it('has no value for silence or for less than one window', () => {
    const silent = meterOf([silence])
    const short = meterOf([fullScale.slice(0, 19199)])
    for (const meter of [silent, short]) {
      expect(meter.integratedLufs()).toBeNull()
      expect(meter.loudnessRangeLu()).toBeNull()
      expect(meter.maxMomentaryLufs()).toBeNull()
      expect(meter.maxShortTermLufs()).toBeNull()
    }
    const enough = meterOf([fullScale.slice(0, 19200)])
    expect(enough.integratedLufs()).not.toBeNull()
    expect(enough.maxMomentaryLufs()).not.toBeNull()
    expect(enough.maxShortTermLufs()).toBeNull()
  })

  it('reads the same in blocks of any size, and when it is also read on the way', () => {
    const signal = toneSequence(
      [
        { seconds: 3, peakDbfs: -30 },
        { seconds: 4, peakDbfs: -12 },
      ],
      44100,
      440,
    )
    const whole = meterOf([signal], 44100, signal.length)
    const readOften = createLoudnessMeter({ sampleRateHz: 44100, channels: 1 })
    feed(
      (channels, frames) => {
        readOften.add(channels, frames)
        readOften.integratedLufs()
        readOften.loudnessRangeLu()
      },
      [signal],
      4410,
    )
    for (const meter of [meterOf([signal], 44100, 7), meterOf([signal], 44100, 4096), readOften]) {
      expect(meter.integratedLufs()).toBeCloseTo(whole.integratedLufs()!, 9)
      expect(meter.loudnessRangeLu()).toBeCloseTo(whole.loudnessRangeLu()!, 9)
      expect(meter.maxMomentaryLufs()).toBeCloseTo(whole.maxMomentaryLufs()!, 9)
      expect(meter.maxShortTermLufs()).toBeCloseTo(whole.maxShortTermLufs()!, 9)
    }
  })
})
