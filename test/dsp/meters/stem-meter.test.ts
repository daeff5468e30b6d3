import { expect, it } from 'vitest'
import { createStemMeter } from '../../../app/dsp/meters/stem-meter.ts'
import { fadeEnds, feed, tone } from '../../signals/tones.ts'

it('gives loudness and peaks of a tone at -23 LUFS (EBU Tech 3341 case 1), and none of silence', () => {
  const signal = fadeEnds(tone(20 * 48000, 48000, 1000, 10 ** (-23 / 20)), 48000, 10)
  const meter = createStemMeter({ sampleRateHz: 48000, channels: 2 })
  feed(meter.add, [signal, signal], 1000)
  const facts = meter.facts()
  for (const lufs of [facts.integratedLufs, facts.maxMomentaryLufs, facts.maxShortTermLufs]) {
    expect(Math.abs(lufs! + 23)).toBeLessThanOrEqual(0.1)
  }
  expect(facts.samplePeakDbfs).toBeCloseTo(-23, 6)
  expect(facts.truePeakDbtp).toBeCloseTo(-23, 1)
  expect(createStemMeter({ sampleRateHz: 48000, channels: 1 }).facts()).toEqual({
    integratedLufs: null,
    loudnessRangeLu: null,
    maxMomentaryLufs: null,
    maxShortTermLufs: null,
    truePeakDbtp: null,
    samplePeakDbfs: null,
  })
})
