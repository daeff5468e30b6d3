// Places of findings, and what a check measured without finding anything wrong.

import { describe, expect, it } from 'vitest'
import type { Finding, Place } from '../../../../app/contract/finding.ts'
import type { TakeCheck } from '../../../../app/contract/take-check.ts'
import { placesOf, quietFacts } from '../../../../renderer/formats/voice/finding-words.ts'

const clicks = (changes: Pick<Finding, 'atSeconds'> & { readonly places: readonly Place[] }): Finding => ({
  kind: 'clicks',
  value: 3,
  unit: 'clicks',
  threshold: 1,
  ...changes,
})

describe('a finding', () => {
  it('has its stretches as places, and its moments where there are none', () => {
    expect(placesOf(clicks({ atSeconds: [1, 2], places: [{ fromS: 1, toS: 1.5 }] }))).toEqual([
      { fromS: 1, toS: 1.5 },
    ])
    expect(placesOf(clicks({ atSeconds: [2], places: [] }))).toEqual([{ fromS: 2, toS: 2 }])
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
      '−68.0\u202fdBFS, 52\u202fdB under the loud voice, measured over 1.2\u202fs of pauses',
    )
    expect(words.Polarity).toMatch(/^as expected, confidence 5\.[23] from 9\.8\u202fs of voice$/)
  })

  it('says what could not be judged', () => {
    expect(wordsOf({ floorDbfs: null })['Noise floor']).toMatch(/not measured/)
    expect(wordsOf({ isOneVoice: false }).Phrases).toMatch(/not judged/)
    expect(wordsOf({ polarity: { ...check.polarity, verdict: 'undecided' } }).Polarity).toMatch(/^undecided/)
  })
})
