// Findings in words, for the window and the command line: every kind has a name, a figure, a meaning
// and a remedy, and the numbers in them are those that were measured.

import { describe, expect, it } from 'vitest'
import { Finding } from '../../app/contract/finding.ts'
import { findingFigure, findingName, findingWords, isHint } from '../../app/words/findings.ts'

const figures = { value: 3, unit: 'clicks', threshold: 1, atSeconds: [] }

const EXAMPLES: readonly Finding[] = [
  { ...figures, kind: 'clipping', value: 3152, unit: 'runs', leastRunSamples: 3 },
  { ...figures, kind: 'over-full-scale', value: 0.4321, unit: 'dBTP', threshold: 0 },
  { ...figures, kind: 'dc-offset', value: -52.04, unit: 'dBFS', threshold: -60, where: 'throughout' },
  { ...figures, kind: 'dc-offset', value: -52.04, unit: 'dBFS', threshold: -60, where: 'pauses' },
  { ...figures, kind: 'silent', value: 60, unit: '%', threshold: 50 },
  { ...figures, kind: 'silent', value: 100, unit: '%', threshold: 50 },
  { ...figures, kind: 'noise-floor', value: -35.66, unit: 'dB', threshold: -40, floorDbfs: -52.34 },
  {
    ...figures,
    kind: 'hum',
    value: -50.6,
    unit: 'dBFS',
    threshold: -85,
    fundamentalHz: 50.012,
    harmonics: [1, 3],
  },
  { ...figures, kind: 'wrong-rate', value: 45.9375, unit: 'Hz', threshold: 50, rateRatio: 48_000 / 44_100 },
  { ...figures, kind: 'clicks' },
  { ...figures, kind: 'pops', value: 1, unit: 'pops' },
  {
    ...figures,
    kind: 'inverted-polarity',
    value: 2.25,
    unit: 'skewness',
    threshold: 0,
    confidence: 6.79,
    voicedSeconds: 9.8,
    leastConfidence: 3,
  },
  { ...figures, kind: 'opposite-channels', value: 1, unit: 'pair' },
  { ...figures, kind: 'likely-compressed', value: -5.4, unit: 'dB', threshold: -6.5, noiseRiseDb: 4.57 },
  { ...figures, kind: 'likely-compressed', value: -5.4, unit: 'dB', threshold: -6.5, noiseRiseDb: null },
  { ...figures, kind: 'reverberation', value: 0.634, unit: 's', threshold: 0.4 },
  {
    ...figures,
    kind: 'converted-rate',
    value: 21_950,
    unit: 'Hz',
    threshold: 0,
    dropDb: 61.2,
    fromRateHz: 44_100,
  },
  {
    ...figures,
    kind: 'lossy-coding',
    value: 3.37,
    unit: 'times',
    threshold: 1.25,
    confidence: 17.4,
    coder: 'mp3',
  },
  { ...figures, kind: 'lossy-bandwidth', value: 16_000, unit: 'Hz', threshold: 0, dropDb: 55.4 },
  { ...figures, kind: 'not-one-voice', value: 30, unit: 's', threshold: 8, because: 'no-pause' },
  { ...figures, kind: 'not-one-voice', value: -3.2, unit: 'dB', threshold: -6, because: 'low-sound' },
  { ...figures, kind: 'too-short', value: -0.345, unit: 's', threshold: -1 },
  {
    ...figures,
    kind: 'cut-short',
    value: 25.2,
    unit: 's',
    threshold: 0,
    presentSeconds: 20.8,
    promisedSeconds: 46,
  },
  { ...figures, kind: 'never-closed', value: 20.8, unit: 's', threshold: 0 },
  {
    ...figures,
    kind: 'same-performance',
    value: 2392.4,
    unit: 'peak over median',
    threshold: 200,
    otherTake: 'lead',
    sharedPhrases: 1,
    phrases: 5,
    lagSeconds: -731 / 48_000,
    lagFrames: -731,
    isInverted: true,
  },
]
const example = (kind: Finding['kind']): Finding => EXAMPLES.find((one) => one.kind === kind)!

describe('a finding', () => {
  it.each(EXAMPLES)('$kind is a finding of the contract, with sentences in plain ASCII', (finding) => {
    expect(Finding.parse(finding)).toEqual(finding)
    const { meaning, remedy } = findingWords(finding)
    for (const text of [meaning, remedy]) expect(text).toMatch(/^[A-Z\d][\x20-\x7e]+\.$/)
    expect(`${meaning}${remedy}${findingFigure(finding)}`).not.toMatch(/undefined|NaN|null/)
  })

  it('has an example here of every kind', () => {
    expect(new Set(EXAMPLES.map(({ kind }) => kind))).toEqual(
      new Set(Finding.options.map(({ shape }) => shape.kind.value)),
    )
  })

  it('is named as the trade says it', () => {
    expect(findingName('over-full-scale')).toBe('Over full scale')
    expect(findingName('dc-offset')).toBe('DC offset')
  })

  it.each([
    ['clipping', '3152 clipped runs (threshold 1)'],
    ['pops', '1 pop (threshold 1)'],
    ['dc-offset', '-52.0 dBFS, limit -60.0 dBFS'],
    ['silent', '60.0 %, limit 50.0 %'],
    ['noise-floor', '35.7 dB under the loud voice, limit 40.0 dB'],
    // Inverted pulses have a skewness below zero.
    ['inverted-polarity', 'skewness -2.25, upright above 0'],
    ['likely-compressed', 'level spread 5.4 dB, limit 6.5 dB'],
    ['too-short', '0.3 s of sound, at least 1.0 s needed'],
    ['reverberation', 'early decay 0.63 s, limit 0.40 s'],
    ['lossy-coding', '3.4 times as many equal coefficients as by chance (limit 1.25)'],
    ['lossy-bandwidth', 'edge at 16000 Hz'],
    ['wrong-rate', '45.94 Hz, mains 50 Hz'],
    ['same-performance', 'correlation peak 2392 times its median (threshold 200)'],
  ] as const)('%s gives its figure beside the threshold', (kind, figure) => {
    expect(findingFigure(example(kind))).toBe(figure)
  })

  it('says of a copy which phrases, which take, how far away and how turned', () => {
    expect(findingWords(example('same-performance')).meaning).toBe(
      '1 of 5 phrases is the same performance as lead, 0.0152 s (731 samples) earlier there, with inverted polarity: together they get louder or comb, and do not thicken.',
    )
  })

  it('asks for the trim that leaves 1 dB: 0.43 dBTP is rounded up to 0.5', () => {
    expect(findingWords(example('over-full-scale')).remedy).toMatch(/^Lower the take by 1\.5 dB/)
  })

  it('is a hint where it is concluded and not measured', () => {
    expect(isHint({ kind: 'likely-compressed' })).toBe(true)
    expect(isHint({ kind: 'lossy-coding' })).toBe(true)
    expect(isHint({ kind: 'clipping' })).toBe(false)
  })
})
