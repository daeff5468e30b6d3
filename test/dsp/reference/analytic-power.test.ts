import { expect, it } from 'vitest'
import { tone } from '../../signals/tones.ts'
import { ANALYTIC_STATE_LENGTH, createAnalyticPower } from './analytic-power.ts'

// The squared envelope of a sine is its amplitude squared (definition of the analytic signal).
it.each([
  [44_100, 50],
  [48_000, 50],
  [48_000, 440],
  [48_000, 5000],
  [48_000, 23_000],
  [96_000, 100],
])(
  'at %d Hz a sine of %d Hz reads its amplitude squared within 0.1 dB at every sample',
  (sampleRateHz, frequencyHz) => {
    const frames = sampleRateHz
    const samples = tone(frames, sampleRateHz, frequencyHz, 0.5)
    createAnalyticPower(sampleRateHz).run(
      samples,
      new Float64Array(frames),
      new Float64Array(ANALYTIC_STATE_LENGTH),
      frames,
    )
    const late = samples.subarray(frames / 2)
    const worstDb = late.reduce((worst, x) => Math.max(worst, Math.abs(10 * Math.log10(x / 0.25))), 0)
    expect(worstDb).toBeLessThan(0.1)
  },
)
