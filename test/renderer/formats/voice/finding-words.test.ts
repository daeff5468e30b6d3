// Findings and quiet facts in words: figures beside limits, hints apart from facts.

import { describe, expect, it } from 'vitest'
import type { TakeCheck } from '../../../../app/contract/take-check.ts'
import type { Finding } from '../../../../app/contract/take-facts.ts'
import {
  findingFigure,
  findingName,
  isHint,
  placesOf,
  quietFacts,
} from '../../../../renderer/formats/voice/finding-words.ts'

const finding = (changes: Partial<Finding>): Finding => ({
  kind: 'clicks',
  value: 3,
  unit: 'clicks',
  threshold: 1,
  atSeconds: [],
  meaning: '',
  remedy: '',
  ...changes,
})

describe('a finding', () => {
  it('is named as the trade says it', () => {
    expect(findingName('over-full-scale')).toBe('Over full scale')
    expect(findingName('dc-offset')).toBe('DC offset')
  })

  it('gives its figure with unit and limit', () => {
    expect(findingFigure(finding({ value: -52.04, unit: 'dBFS', threshold: -60, kind: 'dc-offset' }))).toBe(
      '−52.0\u202fdBFS, limit −60.0\u202fdBFS',
    )
    expect(findingFigure(finding({ value: 1 }))).toBe('1 click, noted from 1 up')
    expect(findingFigure(finding({ value: 14 }))).toBe('14 clicks, noted from 1 up')
  })

  it('says the skewness of inverted pulses as it was measured, which is below zero', () => {
    const inverted = finding({ kind: 'inverted-polarity', value: 2.25, unit: 'skewness', threshold: 0 })
    expect(findingFigure(inverted)).toBe('skewness −2.25, upright above 0')
  })

  it('gives no limit where an edge has none, and the mains where the rate is wrong', () => {
    const edge = finding({ kind: 'lossy-bandwidth', value: 16_000, unit: 'Hz', threshold: 0 })
    expect(findingFigure(edge)).toBe('edge at 16000\u202fHz')
    const rate = finding({ kind: 'wrong-rate', value: 54.42, unit: 'Hz', threshold: 50 })
    expect(findingFigure(rate)).toBe('54.42\u202fHz, mains 50.00\u202fHz')
  })

  it('says a floor as far under the voice as it lies, and what the figure of a copy is', () => {
    const floor = finding({ kind: 'noise-floor', value: -35.66, unit: 'dB', threshold: -40 })
    expect(findingFigure(floor)).toBe('35.7\u202fdB under the loud voice, noted below 40.0\u202fdB')
    const copy = finding({
      kind: 'same-performance',
      value: 2392.4,
      unit: 'peak over median',
      threshold: 200,
    })
    expect(findingFigure(copy)).toBe('correlation peak 2392 times its median, noted from 200 up')
  })

  it('is a hint where it is concluded and not measured', () => {
    expect(isHint({ kind: 'likely-compressed' })).toBe(true)
    expect(isHint({ kind: 'clipping' })).toBe(false)
  })

  it('has its stretches as places, and its moments where there are none', () => {
    expect(placesOf(finding({ atSeconds: [1, 2], places: [{ fromS: 1, toS: 1.5 }] }))).toEqual([
      { fromS: 1, toS: 1.5 },
    ])
    expect(placesOf(finding({ atSeconds: [2], places: [] }))).toEqual([{ fromS: 2, toS: 2 }])
  })
})

const check: TakeCheck = {
  seconds: 14,
  floorDbfs: -68,
  floorSeconds: 1.24,
  voiceDbfs: -16,
  pauseSeconds: 2,
  isOneVoice: true,
  phrases: [
    { fromS: 1, toS: 4, levelDbfs: -20 },
    { fromS: 5, toS: 7.5, levelDbfs: -21 },
  ],
  breaths: [{ fromS: 4.2, toS: 4.6 }],
  polarity: { verdict: 'positive', skewness: 0.4, confidence: 5.25, voicedSeconds: 9.8 },
  hum: null,
  edge: null,
  trackedCompression: { isLikely: false, noiseRiseDb: null, levelSpreadDb: null, overshootSlope: null },
}
const wordsOf = (changes: Partial<TakeCheck>): Record<string, string> =>
  Object.fromEntries(quietFacts({ ...check, ...changes }).map(({ name, words }) => [name, words]))

describe('what is simply so', () => {
  it('says phrases, floor under the voice, and polarity with what it was read from', () => {
    const words = wordsOf({})
    expect(words.Phrases).toBe('2, 5.5\u202fs in all, 1 breath')
    expect(words['Noise floor']).toBe(
      '−68.0\u202fdBFS, 52\u202fdB under the loud voice, read from 1.2\u202fs',
    )
    expect(words.Polarity).toMatch(/^as expected, confidence 5\.[23] from 9\.8\u202fs of voice$/)
  })

  it('says what could not be judged', () => {
    expect(wordsOf({ floorDbfs: null })['Noise floor']).toMatch(/could not be read/)
    expect(wordsOf({ isOneVoice: false }).Phrases).toMatch(/not judged/)
    expect(wordsOf({ polarity: { ...check.polarity, verdict: 'undecided' } }).Polarity).toMatch(/^undecided/)
  })
})
