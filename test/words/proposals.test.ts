// The sentences for the evidence of proposed stages and for the soundcheck.

import { describe, expect, it } from 'vitest'
import { Evidence, type SoundcheckMeasure } from '../../app/contract/voice-analysis.ts'
import { evidenceSentence } from '../../app/words/proposals.ts'
import { notEnoughHistory, soundcheckSentences } from '../../app/words/soundcheck.ts'

const EXAMPLES: readonly [Evidence, string][] = [
  [
    { kind: 'pitch-range', p5Hz: 97.6, frequencyHz: 70 },
    '5 % of the pitch is below 98 Hz, so the low-cut starts at 70 Hz.',
  ],
  [
    { kind: 'rumble', underVoiceDb: 38.4, slopeDbPerOctave: 24 },
    'In the pauses the 50 Hz band is 38 dB under the voice, so the slope is 24 dB per octave.',
  ],
  [
    { kind: 'resonance', frequencyHz: 2512, prominenceDb: 9.04, persistencePercent: 81, gainDb: -3.2 },
    '2.5 kHz stands out by 9.0 dB in 81 % of the seconds, more than a formant would, and is not a harmonic, so a bell cuts 3.2 dB.',
  ],
  [
    { kind: 'new-resonance', frequencyHz: 412, excessDb: 3.5, earlierTakes: 3, gainDb: -2.7 },
    '412 Hz stands out by 3.5 dB more than in 3 earlier takes and is not a harmonic, so a bell cuts 2.7 dB.',
  ],
  [
    {
      kind: 'balance',
      band: 'mudDb',
      excessDb: 3.12,
      spreadDb: 0.94,
      earlierTakes: 3,
      frequencyHz: 315,
      gainDb: -2.2,
    },
    "The mud (200 to 500 Hz) is 3.1 dB stronger than in this voice's 3 earlier takes (standard deviation 0.9 dB), so a bell at 315 Hz cuts 2.2 dB.",
  ],
  [
    {
      kind: 'balance',
      band: 'airDb',
      excessDb: -4,
      spreadDb: 1,
      earlierTakes: 2,
      frequencyHz: 10_000,
      gainDb: 2,
    },
    "The air (10 to 16 kHz) is 4.0 dB weaker than in this voice's 2 earlier takes (standard deviation 1.0 dB), so a high shelf at 10.0 kHz adds 2.0 dB.",
  ],
  [
    { kind: 'sibilant-peak', events: 11, peakHz: 6812, shape: 'high-shelf', frequencyHz: 5100 },
    '11 sibilants peak at 6.8 kHz (median), so a high shelf at 5.1 kHz reduces them.',
  ],
  [
    { kind: 'hot-sibilants', events: 1, rangeDb: 6 },
    "1 of them is more than 4 dB over the singer's own upper quartile, so it may reduce by 6 dB.",
  ],
  [
    { kind: 'stronger-sibilants', excessDb: 2.5, earlierTakes: 4, rangeDb: 7 },
    "The sibilants are 2.5 dB stronger than in this voice's 4 earlier takes, so it may reduce by 7 dB.",
  ],
  [
    { kind: 'sibilant-ratio', vowelRatioP95Db: -12.4, sibilantRatioDb: 6.2, thresholdDb: -4, rangeDb: 6 },
    '95 % of the vowels stay under a ratio of -12 dB and the sibilants reach 6 dB, so it acts above -4 dB and reduces by 6 dB at most.',
  ],
  [
    { kind: 'dynamic-range', loudDbfs: -12.2, rangeDb: 17.6, ratio: 3, thresholdDbfs: -20, reductionDb: 3.9 },
    'Loud moments reach -12 dBFS and the softest tenth of the singing is 18 dB lower, so 3:1 from -20 dBFS reduces loud phrases by about 4 dB and leaves soft ones nearly alone.',
  ],
  [
    { kind: 'levelling', medianReductionDb: 1.62, loudReductionDb: 4.48 },
    'Run on this take, it reduces half of the singing by 1.6 dB or less and the loudest tenth by 4.5 dB or more.',
  ],
  [
    { kind: 'little-air', underBodyDb: 31.2, snrDb: 24.4, frequencyHz: 10_000, gainDb: 1.5 },
    'The air (10 to 16 kHz) is 31 dB under the body, and the noise is 24 dB or more under it, so a high shelf at 10.0 kHz adds 1.5 dB.',
  ],
  [
    { kind: 'dark-voice', edgeDb: -17.4, snrDb: 52.2, amountDb: 2 },
    'The edge (2 to 5 kHz) is 17 dB under the body and the pauses are 52 dB under the voice, so 2 dB of drive may add harmonics; whether it suits the song is a matter of taste.',
  ],
  [
    { kind: 'peaks', peakDbfs: -0.32, usualPeakDbfs: -4.2, ceilingDbtp: -3.5 },
    'Behind the opto the highest peak is at -0.3 dBFS and 99 % of the peaks stay under -4.2 dBFS, so a ceiling of -3.5 dBTP holds the rest.',
  ],
]

describe('the evidence for a proposal', () => {
  it.each(EXAMPLES)('$kind is a sentence with its figures', (evidence, sentence) => {
    expect(Evidence.parse(evidence)).toEqual(evidence)
    expect(evidenceSentence(evidence)).toBe(sentence)
  })

  it('has an example of every kind in this file', () => {
    expect(new Set(EXAMPLES.map(([{ kind }]) => kind))).toEqual(
      new Set(Evidence.options.map(({ shape }) => shape.kind.value)),
    )
  })
})

const usual = { takes: 3, mean: 0, spread: 1.04, limit: 2.5 }
const measure = (name: SoundcheckMeasure['name'], today: number, frequencyHz: number | null = null) => ({
  name,
  frequencyHz,
  today,
  usual,
  isUnusual: Math.abs(today) > usual.limit,
})

describe('the soundcheck', () => {
  it('joins neighbouring bands that changed in the same direction, and leaves out what is as usual', () => {
    const bands = [
      measure('band', -3, 100),
      measure('band', -4.2, 125),
      measure('band', 1, 160),
      measure('band', 3, 200),
    ]
    expect(soundcheckSentences([...bands, measure('level', 2)])).toEqual([
      'The range from 100 Hz to 125 Hz is up to 4.2 dB lower than usual (standard deviation 1.0 dB, 3 earlier takes).',
      'The third octave at 200 Hz is 3.0 dB higher than usual (standard deviation 1.0 dB, 3 earlier takes).',
    ])
  })

  it.each([
    ['level', 6, /^The voice is 6\.0 dB higher .* louder or closer\.$/],
    ['noise-floor', -6, /^The noise floor relative to the voice is 6\.0 dB lower .* gate at the input\.$/],
    ['distance', -6, /^The low band .* 6\.0 dB lower .* farther from the mic, or a low-cut was on\.$/],
    ['sibilance', 6, /^The sibilants are 6\.0 dB higher .* brighter or closer\.$/],
  ] as const)('names possible causes of an unusual %s', (name, today, sentence) => {
    expect(soundcheckSentences([measure(name, today)])).toEqual([expect.stringMatching(sentence)])
  })

  it('says how many earlier takes it needs, how many there are, and which were left out', () => {
    const words = (earlierTakes: number, remarks: string[] = []) =>
      notEnoughHistory({ outcome: 'not-enough-history', earlierTakes, neededTakes: 2, remarks })
    expect(words(0)).toMatch(/^A soundcheck needs at least 2 earlier takes .* and there are none;/)
    expect(words(1, ['Left out: gone.'])).toMatch(/ and there is 1;.* Left out: gone\.$/)
  })
})
