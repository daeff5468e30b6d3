import { describe, expect, it } from 'vitest'
import { activeBlocks } from '../../../app/dsp/meters/equal-loudness.ts'
import { createJointMeter } from '../../../app/dsp/meters/joint-meter.ts'
import { feed, tone, toneSequence } from '../../signals/tones.ts'

function jointOf(channels: readonly Float64Array[], sampleRateHz = 48000) {
  const meter = createJointMeter({ sampleRateHz, channels: channels.length })
  feed(meter.add, channels)
  return meter
}

describe('joint meter', () => {
  it('reads a sine: RMS 3.0103 dB under its peak (arithmetic), which is its crest factor', () => {
    for (const channels of [1, 2]) {
      const signal = tone(48000, 48000, 1200, 0.5)
      const levels = jointOf(Array.from({ length: channels }, () => signal)).levels()
      expect(levels.rmsLevelDbfs).toBeCloseTo(-6.0206 - 3.0103, 3)
      expect(levels.samplePeakDbfs).toBeCloseTo(-6.0206, 3)
      expect(levels.crestFactorDb).toBeCloseTo(3.0103, 3)
      expect(levels.strandLevelsDbfs[2]).toBeCloseTo(-9.03, 1)
    }
  })

  it('reads a square: crest factor 0 dB (arithmetic)', () => {
    const square = tone(48000, 48000, 100, 1, 1).map((sample) => Math.sign(sample) * 0.25)
    expect(jointOf([square]).levels().crestFactorDb).toBeCloseTo(0, 4)
  })

  it('takes the level over active blocks, its own or those of another joint', () => {
    const signal = toneSequence(
      [
        { seconds: 2, peakDbfs: -10 },
        { seconds: 2, peakDbfs: -40 },
      ],
      48000,
    )
    const joint = jointOf([signal])
    expect(joint.levels().rmsLevelDbfs).toBeCloseTo(-13.01, 2)
    const reversed = jointOf([
      toneSequence(
        [
          { seconds: 2, peakDbfs: -40 },
          { seconds: 2, peakDbfs: -10 },
        ],
        48000,
      ),
    ])
    expect(joint.levels(activeBlocks(reversed.blockPowers())).rmsLevelDbfs).toBeCloseTo(-43.01, 1)
  })

  it('has no value for silence', () => {
    expect(jointOf([new Float64Array(48000)]).levels()).toEqual({
      rmsLevelDbfs: null,
      samplePeakDbfs: null,
      crestFactorDb: null,
      strandLevelsDbfs: [null, null, null, null, null, null],
    })
  })
})
