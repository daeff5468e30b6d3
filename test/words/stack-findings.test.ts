// The sentences of the stack's check: each says which layer, how much and where, and no suggestion is without its unit.

import { describe, expect, it } from 'vitest'
import { StackFinding, StackSuggestion } from '../../app/contract/stack-check/stack-check.ts'
import {
  stackEvidenceWords,
  stackFindingWords,
  stackSuggestionWords,
} from '../../app/words/stack-findings.ts'

const nameOf = (id: number): string => ['Lead', 'Double left', 'Double right', 'High'][id - 1]
const common = { fromS: 1, toS: 2, places: [{ fromS: 1, toS: 2 }], suggestion: null }
const built = {
  hz: 3150,
  buildUpDb: 6,
  shapeDb: 3,
  share: 0.3,
  shareOverMedian: 0.2,
  excessDb: 7.94,
  leaveOneOutDb: 2.1,
}
const bell = { act: 'bell', layerId: 3, frequencyHz: 3050, gainDb: -6, q: 2.14, predictedDb: -1.26 } as const

const words = (finding: object): string =>
  stackFindingWords(StackFinding.parse({ ...common, ...finding }), nameOf)

describe('a finding', () => {
  it.each([
    [
      { kind: 'harsh-build-up', layerIds: [3], value: 2.44, unit: 'dB', evidence: built, suggestion: bell },
      'Harsh build-up of 2.4 dB around 3.15 kHz through Double right, which has 7.9 dB more there than elsewhere beside the lead.',
    ],
    [
      { kind: 'build-up', layerIds: [2, 3, 4], value: 2, unit: 'dB', evidence: { ...built, hz: 250 } },
      'Build-up of 2.0 dB around 250 Hz through Double left, Double right and High; no layer stands out.',
    ],
    [
      {
        kind: 'combing',
        layerIds: [3, 2],
        value: 1,
        unit: 'ms',
        evidence: {
          delayMs: 1,
          firstNotchHz: 500,
          notchesHz: [500, 1500],
          depthDb: 0,
          monoDepthDb: 9.54,
          isInverted: true,
        },
      },
      'Double right and Double left have the same sound 1 ms apart with opposite polarity: a comb of 9.5 dB in mono with its first notch at 500 Hz.',
    ],
    [
      {
        kind: 'same-sound',
        layerIds: [3, 2],
        value: 6.02,
        unit: 'dB',
        evidence: { isInverted: false, levelDb: 0 },
      },
      'Double right and Double left have the same sound at the same time, which only makes it louder (+6.0 dB).',
    ],
    [
      {
        kind: 'mono-loss',
        layerIds: [2],
        value: -7.3,
        unit: 'dB',
        evidence: { hz: 1000, fromHz: 800, toHz: 1250, energyShare: 0.124 },
      },
      'In mono 800 Hz to 1.25 kHz lose up to 7.3 dB (12 % of the stack’s energy), mostly of Double left.',
    ],
    [
      { kind: 'covered-lead', layerIds: [2], value: 0.412, unit: 'share', evidence: { withoutFirst: 0.7 } },
      'Double left covers the lead: 41 % of it is heard through the others.',
    ],
    [
      { kind: 'covered-lead', layerIds: [2, 3], value: 0.3, unit: 'share', evidence: { withoutFirst: 0.7 } },
      'Double left and Double right cover the lead: 30 % of it is heard through the others.',
    ],
    [
      {
        kind: 'sibilants-together',
        layerIds: [2, 3],
        value: 4.77,
        unit: 'dB',
        evidence: { keptLayerId: 1, spreadMs: 62 },
      },
      'An s of Double left and Double right strikes together with that of Lead: +4.8 dB, begun within 62 ms.',
    ],
    [
      {
        kind: 'sibilants-together',
        layerIds: [2, 3],
        value: 4.77,
        unit: 'dB',
        places: [
          { fromS: 1, toS: 1.2 },
          { fromS: 4, toS: 4.1 },
        ],
        evidence: { keptLayerId: 1, spreadMs: 62 },
      },
      'The s of Double left and Double right strikes together with that of Lead at 2 places: up to +4.8 dB, begun within 62 ms.',
    ],
    [
      {
        kind: 'timing-spread',
        layerIds: [4],
        value: 44,
        unit: 'ms',
        evidence: { medianMs: -31.5, phrases: 6 },
      },
      'High is 31.5 ms before the lead (median of 6 phrases), with a spread of 44 ms.',
    ],
  ])('%#', (finding, sentence) => {
    expect(words(finding)).toBe(sentence)
  })
})

describe('a suggestion', () => {
  it.each([
    [bell, 'Cut Double right by 6.0 dB at 3.05 kHz, Q 2.14 (the stack: −1.3 dB).'],
    [{ act: 'gain', layerId: 2, gainDb: -3 }, 'Lower Double left by 3.0 dB.'],
    [{ act: 'mute', layerId: 2 }, 'Mute Double left.'],
    [{ act: 'invert', layerId: 2 }, 'Invert the polarity of Double left.'],
    [{ act: 'shift', layerId: 3, shiftMs: -1, spreadMs: 0 }, 'Move Double right 1 ms earlier.'],
    [
      { act: 'shift', layerId: 3, shiftMs: 20.04, spreadMs: 3.26 },
      'Move Double right 20 ms later (median of its phrases, which spread by 3.3 ms).',
    ],
    [
      { act: 'hold', layerIds: [2, 3], fromS: 1, toS: 1.2, gainDb: -6 },
      'Hold the s of Double left and Double right by 6.0 dB where they strike together.',
    ],
  ])('%#', (suggestion, sentence) => {
    expect(stackSuggestionWords(StackSuggestion.parse(suggestion), nameOf)).toBe(sentence)
  })
})

describe('the evidence', () => {
  const evidence = (finding: object): string =>
    stackEvidenceWords(StackFinding.parse({ ...common, ...finding }), nameOf)

  it('of a build-up tells the share of the layer and what it is without it', () => {
    const finding = { kind: 'harsh-build-up', layerIds: [3], value: 2.44, unit: 'dB', evidence: built }
    expect(evidence(finding)).toBe(
      'The stack is 6.0 dB over the lead there. Double right: 30 % of it, 20 % more than in its other bands; without it −2.1 dB.',
    )
  })

  it('of a comb tells its notches, and no depth beyond what is measured', () => {
    const comb = { delayMs: 1, firstNotchHz: 500, notchesHz: [500, 1500, 2500, 3500], isInverted: false }
    const finding = { kind: 'combing', layerIds: [3, 2], value: 1, unit: 'ms' }
    expect(evidence({ ...finding, evidence: { ...comb, depthDb: 9.54, monoDepthDb: 60 } })).toBe(
      'Notches at 500 Hz, 1.5 kHz and 2.5 kHz, peaks over notches 9.5 dB, in mono 60 dB or more.',
    )
  })
})
