// What differs between two chains, in the words of the desk.

import { describe, expect, it } from 'vitest'
import { type ChainStages, defaultStages } from '../../../../app/contract/chain-document.ts'
import { describeChanges } from '../../../../renderer/formats/chain/describe-changes.ts'

const {
  trim,
  tone,
  opto,
  ceiling,
  'low-cut': lowCut,
  'de-ess': deEss,
  'mic-correction': correction,
} = defaultStages
const gap = '\u202f'
const spaced = (sentences: readonly string[]): string[] => sentences.map((text) => text.replaceAll(gap, ' '))

describe('the difference between two chains', () => {
  it('is nothing between alike ones', () => {
    const stages: ChainStages = [trim, tone, opto]
    expect(describeChanges(stages, structuredClone(stages))).toEqual([])
  })

  it('names what came and went', () => {
    expect(spaced(describeChanges([trim, tone], [tone, ceiling]))).toEqual([
      'Ceiling was added: −1.0 dBTP.',
      'Trim was removed.',
    ])
  })

  it('says a new order once, and not for what only moved up because something went', () => {
    expect(describeChanges([lowCut, tone, opto], [lowCut, opto, tone])).toEqual([
      'The order is now: Low-cut, Opto, Tone.',
    ])
    expect(describeChanges([lowCut, tone, opto], [tone, opto])).toEqual(['Low-cut was removed.'])
  })

  it('gives old and new of each setting with its unit', () => {
    const changed = {
      ...opto,
      on: false,
      settings: { ...opto.settings, thresholdDbfs: -18.5, ratio: 3, recoverySeconds: 1.5 },
    }
    expect(spaced(describeChanges([opto], [changed]))).toEqual([
      'Opto: off; threshold −24.0 dBFS → −18.5 dBFS; ratio 4.0:1 → 3.0:1; release, slow half 3.0 s → 1.5 s.',
    ])
  })

  it('covers what has no number field: bands, shapes, slopes, polarity, aims', () => {
    const [first, second] = tone.settings.bands
    const sentences = spaced(
      describeChanges(
        [trim, correction, lowCut, tone, deEss],
        [
          { ...trim, settings: { gainDb: 0, invertPolarity: true } },
          {
            ...correction,
            settings: {
              ...correction.settings,
              target: { name: 'Warm', curve: { frequenciesHz: [100, 1000, 10_000], levelsDb: [2, 0, -2] } },
            },
          },
          { ...lowCut, settings: { ...lowCut.settings, slopeDbPerOctave: 24 } },
          { ...tone, settings: { bands: [{ ...first, gainDb: -3 }, second] } },
          { ...deEss, settings: { ...deEss.settings, shape: 'bell' } },
        ],
      ),
    )
    expect(sentences).toEqual([
      'Trim: polarity as recorded → inverted.',
      'Mic correction: target flat → Warm.',
      'Low-cut: slope 12 dB/oct → 24 dB/oct.',
      'Tone: band 1 bell −2.0 dB at 250 Hz, Q 1.00 → bell −3.0 dB at 250 Hz, Q 1.00; removed high shelf +2.0 dB at 10 kHz, Q 0.71.',
      'De-ess: shape high shelf → bell.',
    ])
  })

  it('tells stages of one kind apart by their number', () => {
    const other = { ...tone, settings: { bands: [] } }
    expect(spaced(describeChanges([tone, other], [tone, { ...other, on: false }]))).toEqual(['Tone 2: off.'])
  })
})
