import { expect, it } from 'vitest'
import { monoSentences } from '../../../../renderer/formats/stack/mono-sentences.ts'

const plain = (mono: Parameters<typeof monoSentences>[0]): string =>
  monoSentences(mono).join(' ').replaceAll('\u202f', ' ')
const mono = { correlationP5: 0, opposedPercent: 0 }

it('says what cancels, strongest first, and leaves out what holds next to nothing', () => {
  const words = plain({
    ...mono,
    lossDb: -3.4,
    bands: [
      { nominalHz: 250, lossDb: -6, sharePercent: 8 },
      { nominalHz: 500, lossDb: -12.3, sharePercent: 20.4 },
      { nominalHz: 1000, lossDb: -4.4, sharePercent: 50 },
      { nominalHz: 8000, lossDb: -30, sharePercent: 0.9 },
    ],
  })
  expect(words).toBe(
    'Around 500 Hz mono loses 12.3 dB, where 20 % of the power lies. Around 250 Hz mono loses 6.0 dB, where 8 % of the power lies.',
  )
})

it('says that it survives, that it cancels as a whole, and that it is silent', () => {
  expect(plain({ ...mono, lossDb: -1.26, bands: [] })).toMatch(/survives mono: it loses 1\.3 dB in all/)
  expect(plain({ ...mono, lossDb: -20, bands: [] })).toMatch(/loses 20\.0 dB, more than the 3 dB/)
  expect(plain({ ...mono, lossDb: null, bands: [] })).toBe('The stack is silent.')
})
