import { describe, expect, it } from 'vitest'
import { createTruePeakMeter, truePeakOversampling } from '../../../app/dsp/meters/true-peak.ts'
import { createInterpolator } from '../../../app/dsp/meters/true-peak-interpolator.ts'
import { oversampledPeak } from '../../signals/oversampled-peak.ts'
import { fadeEnds, feed, tone, toneCluster, toneSequence } from '../../signals/tones.ts'

function truePeakOf(channels: readonly Float64Array[], sampleRateHz = 48000, blockFrames?: number) {
  const meter = createTruePeakMeter({ sampleRateHz, channels: channels.length })
  feed(meter.add, channels, blockFrames)
  return meter.truePeakDbtp()
}

/** Every point interpolated, none left out. */
function exhaustivePeakDb(signal: Float64Array, sampleRateHz: number): number {
  const padded = new Float64Array(signal.length + 200)
  padded.set(signal, 100)
  const interpolator = createInterpolator(truePeakOversampling(sampleRateHz))
  let peak = 0
  for (let n = 30; n < padded.length - 30; n++) peak = Math.max(peak, interpolator.intervalPeak(padded, n))
  return 20 * Math.log10(peak)
}

describe('true peak, ITU-R BS.1770-5 Annex 2', () => {
  it('oversamples to 192 kHz or more at every rate (Annex 2 section 1)', () => {
    for (const rate of [8000, 16000, 22050, 32000, 44100, 48000, 88200, 96000, 176400, 192000]) {
      expect(truePeakOversampling(rate) * rate).toBeGreaterThanOrEqual(192000)
    }
    expect([44100, 48000, 96000, 192000].map(truePeakOversampling)).toEqual([8, 8, 4, 2])
  })

  it('finds the 3.01 dB that the samples of an fs/4 sine at 45 degrees hide (Attachment 1), within 0.1 dB', () => {
    for (const rate of [44100, 48000, 96000, 192000]) {
      const signal = fadeEnds(tone(rate, rate, rate / 4, 1, 45), rate, 10)
      expect(signal.reduce((most, sample) => Math.max(most, sample))).toBeLessThan(0.7072)
      expect(Math.abs(truePeakOf([signal], rate)!)).toBeLessThanOrEqual(0.1)
    }
  })

  it.each([0.05, 0.1, 0.2, 0.3, 0.4, 0.44])(
    'under-reads a tone at %d of the rate by no more than the bound of Attachment 1, and never over-reads by 0.01 dB',
    (normalised) => {
      const bound = 20 * Math.log10(Math.cos((Math.PI * normalised) / 8))
      for (const phase of [0, 20, 45, 77]) {
        const error =
          truePeakOf([fadeEnds(tone(24000, 48000, 48000 * normalised, 0.5, phase), 48000, 50)])! + 6.0206
        expect(error).toBeGreaterThanOrEqual(bound - 0.01)
        expect(error).toBeLessThanOrEqual(0.01)
      }
    },
  )

  // A tone that starts and stops at once swings over its own level between the samples. Against ideal interpolation
  // by fft.js; the nearer to half the rate, the less of the swing the taps see.
  it.each([
    [0.4, 0.4],
    [0.43, 0.4],
    [0.447, 0.4],
    [0.46, 0.8],
    [0.48, 0.8],
    [0.49, 1.6],
  ])(
    'reads a burst at %d of the rate low by no more than %d dB, and high by no more than 0.35 dB',
    (normalised, underDb) => {
      for (const phase of [0, 45, 90, 135]) {
        const burst = new Float64Array(16_384)
        burst.set(tone(3000, 48_000, 48_000 * normalised, 0.5, phase), 6000)
        const errorDb = truePeakOf([burst])! - 20 * Math.log10(oversampledPeak(burst))
        expect(errorDb).toBeGreaterThan(-underDb)
        expect(errorDb).toBeLessThan(0.35)
      }
    },
  )

  it('is never under the sample peak', () => {
    const click = new Float64Array(1000)
    click[500] = 0.7
    expect(truePeakOf([click])).toBeGreaterThanOrEqual(20 * Math.log10(0.7) - 1e-12)
  })

  it('reads what interpolating every point reads: what is passed over could not have been the peak', () => {
    const signals = [
      toneCluster(9000, 48000, 50, 23900, 60, 0.9),
      toneCluster(9000, 48000, 80, 1000, 12, 1),
      toneCluster(9000, 48000, 9000, 22000, 30, 0.3),
      tone(9000, 48000, 12000, 0.8, 45),
      toneSequence(
        [
          { seconds: 0.05, peakDbfs: -3 },
          { seconds: 0.08, peakDbfs: -20 },
          { seconds: 0.04, peakDbfs: -2.9 },
        ],
        48000,
        5117,
      ),
    ]
    // The signs that a point half-way answers to most, softer than a click before them.
    const worst = new Float64Array(2000)
    worst[300] = 1
    for (let k = 0; k < 24; k++) {
      worst[1000 - k] = k % 2 === 0 ? 0.5 : -0.5
      worst[1001 + k] = worst[1000 - k]
    }
    expect(exhaustivePeakDb(worst, 48000)).toBeGreaterThan(1)
    for (const signal of [...signals, worst]) {
      for (const blockFrames of [1, 333, signal.length]) {
        expect(truePeakOf([signal], 48000, blockFrames)).toBeCloseTo(exhaustivePeakDb(signal, 48000), 9)
      }
    }
  })

  it('counts a peak in the last samples, and stays open for more', () => {
    const meter = createTruePeakMeter({ sampleRateHz: 48000, channels: 1 })
    const signal = tone(1000, 48000, 100, 0.1)
    signal[999] = 0.5
    meter.add([signal], 1000)
    expect(meter.truePeakDbtp()).toBeGreaterThanOrEqual(-6.03)
    const again = meter.truePeakDbtp()
    expect(meter.truePeakDbtp()).toBe(again)
    meter.add([new Float64Array([0.9, 0.9, 0.9])], 3)
    expect(meter.truePeakDbtp()).toBeGreaterThan(-1)
  })

  it('takes the louder channel, has no value for silence, and says where full scale is passed', () => {
    const soft = tone(48000, 48000, 1000, 0.1)
    const overs = toneSequence(
      [
        { seconds: 0.3, peakDbfs: -10 },
        { seconds: 0.1, peakDbfs: 1 },
        { seconds: 0.4, peakDbfs: -10 },
        { seconds: 0.1, peakDbfs: 1 },
        { seconds: 0.1, peakDbfs: -10 },
      ],
      48000,
    )
    const meter = createTruePeakMeter({ sampleRateHz: 48000, channels: 2 })
    feed(meter.add, [soft, overs])
    expect(meter.truePeakDbtp()).toBeCloseTo(1, 2)
    const places = meter.oversAtSeconds()
    expect(places).toHaveLength(2)
    expect(Math.abs(places[0] - 0.3)).toBeLessThan(0.0005)
    expect(Math.abs(places[1] - 0.8)).toBeLessThan(0.0005)
    expect(truePeakOf([new Float64Array(5000)])).toBeNull()
  })
})
