// EBU Tech 3342 v4 (November 2023) section 4 Table 1. Cases 5 and 6 are recordings
// that only the EBU gives out. Tolerance 1 LU.

import { describe, expect, it } from 'vitest'
import { createLoudnessMeter } from '../../app/dsp/meters/loudness.ts'
import { rangeCase } from '../signals/standards.ts'
import { feed } from '../signals/tones.ts'

describe.each([44100, 48000, 96000])('EBU Tech 3342 loudness range at %d Hz, within 1 LU', (sampleRateHz) => {
  it.each([
    [1, 10],
    [2, 5],
    [3, 20],
    [4, 15],
  ] as const)('case %d: %d LU, and the same when repeated end to end', (number, expected) => {
    const meter = createLoudnessMeter({ sampleRateHz, channels: 2 })
    const signal = rangeCase(number, sampleRateHz)
    feed(meter.add, signal)
    const once = meter.loudnessRangeLu()!
    feed(meter.add, signal)
    const twice = meter.loudnessRangeLu()!
    console.log(`  case ${number}: ${expected} LU expected, ${once.toFixed(3)}, repeated ${twice.toFixed(3)}`)
    expect(Math.abs(once - expected)).toBeLessThanOrEqual(1)
    expect(Math.abs(twice - expected)).toBeLessThanOrEqual(1)
  })
})
