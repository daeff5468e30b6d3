import { describe, expect, it } from 'vitest'
import { defaultStages } from '../../../app/contract/chain-document.ts'
import { settingsInWords } from '../../../app/words/chain/settings-in-words.ts'

const plain = (lines: readonly string[]): string =>
  lines.join('; ').replaceAll('\u202f', ' ').replaceAll('\u2212', '-')

describe('settings in words', () => {
  it.each(Object.values(defaultStages))('say every setting of $kind', (stage) => {
    // One line or more for each setting; bands and targets are told as a whole.
    const told = settingsInWords(stage)
    expect(told.length).toBeGreaterThanOrEqual(
      stage.kind === 'tone' ? stage.settings.bands.length : Object.keys(stage.settings).length,
    )
    for (const line of told) expect(line).not.toMatch(/undefined|NaN|null|object/)
  })

  it('name what no field shows: polarity, slope, shape, aim, proximity, bands', () => {
    expect(
      plain(settingsInWords({ kind: 'trim', on: true, settings: { gainDb: -6, invertPolarity: true } })),
    ).toBe('Gain -6.0 dB; Polarity inverted')
    expect(
      plain(
        settingsInWords({ kind: 'low-cut', on: true, settings: { frequencyHz: 80, slopeDbPerOctave: 24 } }),
      ),
    ).toBe('Frequency (-3 dB) 80 Hz; Slope 24 dB/oct')
    expect(
      plain(
        settingsInWords({
          kind: 'tone',
          on: false,
          settings: { bands: [{ shape: 'bell', frequencyHz: 1250, gainDb: -3, q: 1.4 }] },
        }),
      ),
    ).toBe('Band 1: bell -3.0 dB at 1.25 kHz, Q 1.40')
    const { settings } = defaultStages['mic-correction']
    const aimed = plain(
      settingsInWords({
        kind: 'mic-correction',
        on: true,
        settings: {
          ...settings,
          target: { name: 'Last month', curve: { frequenciesHz: [20, 20_000], levelsDb: [0, 0] } },
          proximity: { frequencyHz: 200, gainDb: -4, q: 0.7 },
        },
      }),
    )
    expect(aimed).toContain('Target Last month')
    expect(aimed).toContain('Proximity low shelf -4.0 dB at 200 Hz')
  })
})
