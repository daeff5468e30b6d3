// What mono loses, in closed form: (left + right) / sqrt 2 against both sides. One sound at 1 on the left and at a on
// the right keeps (1 + a)^2 / (2 (1 + a^2)) of its energy, unrelated sides keep half of it.

import { describe, expect, it } from 'vitest'
import { findMonoLoss, monoLosses } from '../../../app/dsp/stack/mono-loss.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { throughBand } from '../../signals/voice-takes.ts'
import { gramOf, RATE, type TestLayer } from './measured-stack.ts'

const noise = (seed: number): Float64Array => whiteNoise(2 * RATE, seed, 0.2)
const lossesOf = (layers: readonly TestLayer[]) => monoLosses(gramOf(layers))

describe('mono', () => {
  it.each([1, 0.5, 0, -0.25, -0.5, -0.9])('keeps (1 + a)^2 / (2 (1 + a^2)) at a = %d', (a) => {
    const keptDb = 10 * Math.log10((1 + a) ** 2 / (2 * (1 + a * a)))
    for (const { lossDb, lost } of lossesOf([{ samples: noise(1), gains: [1, a] }])) {
      expect(lossDb).toBeCloseTo(keptDb, 9)
      expect(lost[0]).toBeCloseTo(1 - 10 ** (keptDb / 10), 9)
    }
  })

  it('loses 3 dB of unrelated sides, which is no finding', () => {
    const bands = lossesOf([
      { samples: noise(1), gains: [1, 0] },
      { samples: noise(2), gains: [0, 1] },
    ])
    for (const { lossDb, lost } of bands.filter(({ nominalHz }) => nominalHz >= 1000)) {
      expect(Math.abs(lossDb + 3.01)).toBeLessThan(0.5)
      expect(lost[0] + lost[1]).toBeCloseTo(1 - 10 ** (lossDb / 10), 9)
    }
    expect(findMonoLoss(bands)).toEqual([])
  })

  it('loses the band in which one layer is turned round, and names that layer', () => {
    const voice = noise(1)
    const raised = throughBand(noise(2), 'bell', 1000, 18, 1)
    const found = findMonoLoss(
      lossesOf([
        { samples: voice, isLead: true },
        { samples: raised, gains: [1, -1] },
      ]),
    )
    expect(found).toHaveLength(1)
    expect(found[0].layers).toEqual([1])
    expect(found[0].nominalHz).toBe(1000)
    expect(found[0].fromHz).toBeLessThan(1000)
    expect(found[0].toHz).toBeGreaterThan(1000)
    // The lead at 1 stays, the other at 8 (18 dB) goes: 1 / (1 + 63), a little more at the edges of the band.
    expect(found[0].lossDb).toBeLessThan(-16)
  })
})
