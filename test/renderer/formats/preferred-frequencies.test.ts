// The steps of every frequency field against the nominal third-octave frequencies of ISO 266:1997,
// as listed in the class 1 table of IEC 61672-1:2013 (20 Hz to 20 kHz).

import { describe, expect, it } from 'vitest'
import {
  nearestPreferredFrequency,
  PREFERRED_FREQUENCIES_HZ,
  stepPreferredFrequency,
} from '../../../renderer/formats/preferred-frequencies.ts'

const ISO_266_HZ = [
  20, 25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000,
  2500, 3150, 4000, 5000, 6300, 8000, 10_000, 12_500, 16_000, 20_000,
]
/** IEC 61260-1:2014, exact mid-band frequencies of the base-ten system: 1000 * 10^(x/10). */
const exactHz = (index: number): number => 1000 * 10 ** (index / 10)

describe('preferred frequencies', () => {
  it('are the nominal third octaves of ISO 266:1997 from 20 Hz to 20 kHz, exactly', () => {
    expect(PREFERRED_FREQUENCIES_HZ.filter((frequencyHz) => frequencyHz >= 20)).toEqual(ISO_266_HZ)
  })

  it('start at 16 Hz, the lowest a low-cut takes', () => {
    expect(PREFERRED_FREQUENCIES_HZ[0]).toBe(16)
  })

  it('lie nearest to the exact mid-band frequencies of IEC 61260-1:2014', () => {
    for (let index = -17; index <= 13; index++) {
      expect(nearestPreferredFrequency(exactHz(index))).toBe(ISO_266_HZ[index + 17])
    }
  })
})

describe('stepping', () => {
  it('walks the list up and down', () => {
    for (let i = 1; i < ISO_266_HZ.length; i++) {
      expect(stepPreferredFrequency(ISO_266_HZ[i - 1]!, 1)).toBe(ISO_266_HZ[i])
      expect(stepPreferredFrequency(ISO_266_HZ[i]!, -1)).toBe(ISO_266_HZ[i - 1])
    }
  })

  it('goes from a typed frequency to its neighbour first', () => {
    expect(stepPreferredFrequency(1100, 1)).toBe(1250)
    expect(stepPreferredFrequency(1100, -1)).toBe(1000)
    expect(stepPreferredFrequency(1100, 3)).toBe(2000)
  })

  it('stays at the ends', () => {
    expect(stepPreferredFrequency(20_000, 1)).toBe(20_000)
    expect(stepPreferredFrequency(16, -1)).toBe(16)
  })
})
