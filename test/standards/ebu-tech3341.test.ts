// EBU Tech 3341 v4 (November 2023) Table 1. Cases 7 and 8 are recordings that only
// the EBU gives out; all others are made here. Tolerances are the table's own.

import { describe, expect, it } from 'vitest'
import { createLoudnessMeter } from '../../app/dsp/meters/loudness.ts'
import { createTruePeakMeter } from '../../app/dsp/meters/true-peak.ts'
import {
  alternatingCase,
  insertedPeriodCase,
  integratedCase,
  lateToneCase,
  missedPeakCase,
  risingToneCase,
  surroundCase,
} from '../signals/standards.ts'
import { feed } from '../signals/tones.ts'

const TOLERANCE_LU = 0.1
const RATES_HZ = [44100, 48000, 96000]

function within(name: string, readings: readonly (number | null)[], expected: number): void {
  let worst = 0
  for (const reading of readings) {
    expect(reading, name).not.toBeNull()
    const error = reading! - expected
    if (Math.abs(error) > Math.abs(worst)) worst = error
  }
  console.log(`  ${name}: ${expected} expected, off by ${worst.toFixed(3)} LU of ${TOLERANCE_LU}`)
  expect(Math.abs(worst), name).toBeLessThanOrEqual(TOLERANCE_LU)
}

function loudnessOf(signal: readonly Float64Array[], sampleRateHz: number) {
  const meter = createLoudnessMeter({ sampleRateHz, channels: signal.length })
  feed(meter.add, signal)
  return meter
}

/** The readings of `read` every 10 ms from second `fromSeconds` on. */
function readingsFrom(
  signal: readonly Float64Array[],
  sampleRateHz: number,
  fromSeconds: number,
  read: 'momentaryLufs' | 'shortTermLufs',
): { readonly atSeconds: number; readonly lufs: number | null }[] {
  const meter = createLoudnessMeter({ sampleRateHz, channels: signal.length })
  const readings: { atSeconds: number; lufs: number | null }[] = []
  let frame = 0
  feed(
    (channels, frames) => {
      meter.add(channels, frames)
      frame += frames
      if (frame >= fromSeconds * sampleRateHz)
        readings.push({ atSeconds: frame / sampleRateHz, lufs: meter[read]() })
    },
    signal,
    sampleRateHz / 100,
  )
  return readings
}

describe.each(RATES_HZ)('EBU Tech 3341 loudness at %d Hz, within 0.1 LU', (rate) => {
  it.each([
    [1, -23],
    [2, -33],
  ] as const)('case %d: M, S and I are %d LUFS', (number, expected) => {
    const meter = loudnessOf(integratedCase(number, rate), rate)
    within(
      `case ${number}`,
      [
        meter.integratedLufs(),
        meter.momentaryLufs(),
        meter.shortTermLufs(),
        meter.maxMomentaryLufs(),
        meter.maxShortTermLufs(),
      ],
      expected,
    )
  })

  it.each([3, 4, 5] as const)('case %d: I is -23 LUFS', (number) => {
    within(`case ${number}`, [loudnessOf(integratedCase(number, rate), rate).integratedLufs()], -23)
  })

  it('case 6: I is -23 LUFS in 5.0', () => {
    within('case 6', [loudnessOf(surroundCase(rate), rate).integratedLufs()], -23)
  })

  it('case 9: S is -23 LUFS throughout after 3 s', () => {
    const readings = readingsFrom(alternatingCase(9, rate), rate, 3, 'shortTermLufs')
    expect(readings.length).toBeGreaterThan(1100)
    within(
      'case 9',
      readings.map((reading) => reading.lufs),
      -23,
    )
  })

  it('case 10: max S is -23 LUFS in each of 20 segments', () => {
    const segments = Array.from({ length: 20 }, (_, i) => lateToneCase(10, i, rate))
    within(
      'case 10',
      segments.map((segment) => loudnessOf(segment, rate).maxShortTermLufs()),
      -23,
    )
  })

  it('case 12: M is -23 LUFS throughout after 1 s', () => {
    const readings = readingsFrom(alternatingCase(12, rate), rate, 1, 'momentaryLufs')
    expect(readings.length).toBeGreaterThan(800)
    within(
      'case 12',
      readings.map((reading) => reading.lufs),
      -23,
    )
  })

  it('case 13: max M is -23 LUFS in each of 20 segments', () => {
    const segments = Array.from({ length: 20 }, (_, i) => lateToneCase(13, i, rate))
    within(
      'case 13',
      segments.map((segment) => loudnessOf(segment, rate).maxMomentaryLufs()),
      -23,
    )
  })

  it.each([
    [11, 'shortTermLufs'],
    [14, 'momentaryLufs'],
  ] as const)('case %d: the greatest reading rises from -38 to -19 LUFS in one run', (number, read) => {
    const { signal, segmentSeconds } = risingToneCase(number, rate)
    const readings = readingsFrom(signal, rate, 0, read)
    const errors = Array.from({ length: 20 }, (_, i) => {
      const inSegment = readings.filter(
        ({ atSeconds }) =>
          atSeconds > i * segmentSeconds + 1e-9 && atSeconds <= (i + 1) * segmentSeconds + 1e-9,
      )
      return Math.max(...inSegment.map(({ lufs }) => lufs ?? -Infinity)) - (-38 + i)
    })
    within(`case ${number} (less the step)`, errors, 0)
  })
})

describe.each(RATES_HZ)('EBU Tech 3341 true peak at %d Hz, within +0.2/-0.4 dB', (rate) => {
  it.each([
    [15, -6],
    [16, -6],
    [17, -6],
    [18, -6],
    [19, 3],
    [20, 0],
    [21, 0],
    [22, 0],
    [23, 0],
  ] as const)('case %d: %d dBTP', (number, expected) => {
    const signal =
      number === 20 || number === 21 || number === 22 || number === 23
        ? insertedPeriodCase(number, rate)
        : missedPeakCase(number, rate)
    const meter = createTruePeakMeter({ sampleRateHz: rate, channels: 2 })
    feed(meter.add, signal)
    const error = meter.truePeakDbtp()! - expected
    console.log(`  case ${number}: ${expected} dBTP expected, off by ${error.toFixed(3)} dB of +0.2/-0.4`)
    expect(error).toBeLessThanOrEqual(0.2)
    expect(error).toBeGreaterThanOrEqual(-0.4)
  })
})
