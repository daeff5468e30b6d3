// Closed forms: K unrelated layers of equal power add 10 log10 K evenly, K identical ones 20 log10 K; a layer and its
// delayed copy have their notches at odd multiples of 1 / (2 tau). Shapley values against the mean over all orders.

import { describe, expect, it } from 'vitest'
import { THIRD_OCTAVES, thirdOctaveAt } from '../../../app/dsp/analysis/spectra/third-octaves.ts'
import { buildUpOf } from '../../../app/dsp/stack/build-up.ts'
import { dbShares } from '../../../app/dsp/stack/db-shares.ts'
import { energyOf, type Gram, powerShares } from '../../../app/dsp/stack/gram.ts'
import { gainsChangeDb } from '../../../app/dsp/stack/what-if.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { gramOf, RATE, type TestLayer } from './measured-stack.ts'

const SECONDS = 20
const noise = (seed: number): Float64Array => whiteNoise(SECONDS * RATE, seed)
const leadAnd = (...others: readonly Float64Array[]): TestLayer[] =>
  [noise(1), ...others].map((samples, k) => ({ samples, isLead: k === 0 }))
const leads = (layers: readonly TestLayer[]): boolean[] => layers.map(({ isLead }) => isLead === true)
const from250 = THIRD_OCTAVES.flatMap(({ nominalHz }, b) => (nominalHz >= 250 ? [b] : []))
const dbOf = (power: number): number => 10 * Math.log10(power)

describe('build-up over the lead', () => {
  it.each([2, 4, 8])('of %d unrelated layers: 10 log10 K in every band', (k) => {
    const layers = leadAnd(...Array.from({ length: k - 1 }, (_, i) => noise(i + 2)))
    const bands = buildUpOf(gramOf(layers).sides, leads(layers))
    for (const b of from250) {
      // A band has hundreds of independent values in 20 s: some tenths of chance.
      expect(Math.abs(bands[b].buildUpDb! - dbOf(k)), `${bands[b].nominalHz} Hz`).toBeLessThan(0.6)
    }
    const mean = from250.reduce((sum, b) => sum + bands[b].buildUpDb!, 0) / from250.length
    expect(Math.abs(mean - dbOf(k))).toBeLessThan(0.1)
  })

  it.each([2, 4, 8])('of %d identical layers: 20 log10 K, equal shares', (k) => {
    const layers = leadAnd(...Array.from({ length: k - 1 }, () => noise(1)))
    for (const { buildUpDb, shares, sharesDb } of buildUpOf(gramOf(layers).sides, leads(layers))) {
      expect(buildUpDb).toBeCloseTo(2 * dbOf(k), 9)
      for (const share of shares!) expect(share).toBeCloseTo(1 / k, 9)
      expect(sharesDb![0]).toBe(0)
      for (const share of sharesDb!.subarray(1)) expect(share).toBeCloseTo((2 * dbOf(k)) / (k - 1), 9)
    }
  })

  it('of a copy of 1 ms: notches at 500, 1500, 2500 Hz, peaks of 6 dB between', () => {
    const lead = noise(1)
    const late = new Float64Array(lead.length)
    late.set(lead.subarray(0, lead.length - 48), 48)
    const layers = leadAnd(late)
    const { spectra, binHz } = gramOf([{ samples: lead.map((x, n) => x + late[n]) }, { samples: lead }])
    const levelAt = (hz: number): number => {
      const at = Math.round(hz / binHz)
      return dbOf(spectra[0][at] / spectra[1][at])
    }
    for (const hz of [500, 1500, 2500]) expect(levelAt(hz)).toBeLessThan(-25)
    for (const hz of [1000, 2000, 3000]) expect(Math.abs(levelAt(hz) - 6.0206)).toBeLessThan(0.1)
    // 1 + exp(-j w tau) over the band around 500 Hz, in which the notch lies: well under the lead.
    const bands = buildUpOf(gramOf(layers).sides, leads(layers))
    expect(bands[thirdOctaveAt(500)].buildUpDb!).toBeLessThan(-8)
  })

  it('of an inverted copy: nothing is left, and the shares are not given', () => {
    const layers = leadAnd(noise(1).map((x) => -x))
    const [band] = buildUpOf(gramOf(layers).sides, leads(layers)).slice(12)
    expect(band.buildUpDb!).toBeLessThan(-140)
    expect(band.shares).toBeNull()
  })
})

describe('shares', () => {
  const layers = leadAnd(
    noise(2).map((x) => 0.3 * x),
    noise(1).map((x) => -0.4 * x),
    noise(3).map((x, n) => 0.5 * x + 0.2 * Math.sin(0.1 * n)),
  )
  const { sides } = gramOf(layers)

  it('add up to one in every band, negative where a layer cancels', () => {
    for (let b = 0; b < THIRD_OCTAVES.length; b++) {
      const shares = powerShares(sides, b)!
      expect(Math.abs(shares.reduce((sum, one) => sum + one, 0) - 1)).toBeLessThan(1e-9)
      if (THIRD_OCTAVES[b].nominalHz > 1000) expect(shares[2]).toBeLessThan(-0.1)
    }
  })

  it('in dB are the mean over all orders, and add up to the build-up', () => {
    for (const b of [10, 15, 20]) {
      const { shares } = dbShares(sides, b, leads(layers))!
      const mean = overAllOrders(sides, b, [1, 2, 3])
      for (const k of [1, 2, 3]) expect(shares[k]).toBeCloseTo(mean[k], 9)
      const { buildUpDb } = buildUpOf(sides, leads(layers))[b]
      expect(shares.reduce((sum, one) => sum + one, 0)).toBeCloseTo(buildUpDb!, 9)
    }
  })

  it('in dB of more layers than sets can be counted for: close to the counted ones, exact in their sum', () => {
    const many = leadAnd(...Array.from({ length: 12 }, (_, i) => noise(i + 2).map((x) => 0.1 * (i + 1) * x)))
    const gram = gramOf(many).sides
    const drawn = dbShares(gram, 15, leads(many))!
    expect(drawn.standardErrorDb).toBeGreaterThan(0)
    expect(drawn.standardErrorDb).toBeLessThan(0.05)
    const sum = drawn.shares.reduce((all, one) => all + one, 0)
    expect(sum).toBeCloseTo(buildUpOf(gram, leads(many))[15].buildUpDb!, 9)
    // Identical layers have equal shares: 20 log10 13, divided by the twelve that are not the lead.
    const alike = leadAnd(...Array.from({ length: 12 }, () => noise(1)))
    const alikeShares = dbShares(gramOf(alike).sides, 15, leads(alike))!
    for (const share of alikeShares.shares.subarray(1)) {
      expect(Math.abs(share - (2 * dbOf(13)) / 12)).toBeLessThan(4 * alikeShares.standardErrorDb)
    }
  })
})

describe('what a gain would do', () => {
  it('is what the summed signals do', () => {
    const lead = noise(1)
    const other = noise(2).map((x, n) => 0.4 * x + 0.3 * lead[n])
    const { sides } = gramOf(leadAnd(other))
    const gains = [1, -0.7]
    const summed = gramOf([
      { samples: lead.map((x, n) => gains[0] * x + gains[1] * other[n]) },
      { samples: lead.map((x, n) => x + other[n]) },
    ]).sides
    for (let b = 0; b < THIRD_OCTAVES.length; b++) {
      const truth = dbOf(summed.products[b][0] / summed.products[b][3])
      expect(Math.abs(gainsChangeDb(sides, b, gains)! - truth)).toBeLessThan(1e-6)
    }
  })

  it('counts both sides, and their sum in mono', () => {
    const one = noise(1)
    const { sides, mono } = gramOf([
      { samples: one, gains: [1, 0] },
      { samples: one.map((x) => -x), gains: [0, 1] },
    ])
    const b = thirdOctaveAt(1000)
    expect(energyOf(sides, b)).toBeCloseTo(2 * sides.products[b][0], 6)
    expect(energyOf(mono, b) / energyOf(sides, b)).toBeLessThan(1e-15)
  })
})

/** Mean over every order of the players of what each adds in dB. */
function overAllOrders(gram: Gram, band: number, players: readonly number[]): number[] {
  const sums = new Array<number>(gram.layers).fill(0)
  const orders = permutations(players)
  for (const order of orders) {
    const gains = new Float64Array(gram.layers)
    gains[0] = 1
    let before = dbOf(energyOf(gram, band, gains))
    for (const k of order) {
      gains[k] = 1
      const after = dbOf(energyOf(gram, band, gains))
      sums[k] += (after - before) / orders.length
      before = after
    }
  }
  return sums
}

function permutations(values: readonly number[]): number[][] {
  if (values.length === 0) return [[]]
  return values.flatMap((one) =>
    permutations(values.filter((other) => other !== one)).map((rest) => [one, ...rest]),
  )
}
