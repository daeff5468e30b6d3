// What is predicted of a change against the signals summed with it, and shares in dB against their definition.

import { thirdOctaveAt } from '../../../../app/dsp/analysis/spectra/third-octaves.ts'
import { energyOf } from '../../../../app/dsp/stack/gram.ts'
import { gainsChangeDb } from '../../../../app/dsp/stack/what-if.ts'
import { gramOf } from '../../../dsp/stack/measured-stack.ts'
import { scaled } from '../../../signals/speech-stack.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'
import { bandsOf, dbOf, ID, noise, summed } from './stacks.ts'

/** dB shares against the mean over all orders, and gains against the signals summed with them. */
export function predictions(): Row[] {
  const layers = [
    noise(1),
    scaled(noise(2), -6),
    noise(1).map((x, n) => -0.4 * x + 0.3 * Math.sin(0.1 * n)),
    scaled(noise(4), -3),
  ]
  const measured = gramOf(layers.map((samples) => ({ samples })))
  const bands = bandsOf(layers)
  const shares: Reading[] = []
  const gains = [1, 0.5, 0, -0.8]
  const changed = gramOf([
    { samples: summed(layers.map((one, k) => one.map((x) => gains[k] * x))) },
    { samples: summed(layers) },
  ]).sides
  const renders: Reading[] = []
  for (const hz of [125, 500, 1000, 3150, 8000]) {
    const b = thirdOctaveAt(hz)
    const mean = meanOverOrders((set) => dbOf(energyOf(measured.sides, b, set)), [1, 2, 3], layers.length)
    for (const k of [1, 2, 3]) {
      shares.push({ where: `layer ${k + 1}, ${hz} Hz`, value: bands[b].sharesDb![k] - mean[k] })
    }
    const truth = dbOf(changed.products[b][0] / changed.products[b][3])
    renders.push({ where: `${hz} Hz`, value: gainsChangeDb(measured.sides, b, gains)! - truth })
  }
  return [
    rowOf(
      ID,
      'shares in dB less the mean over all orders',
      limitOf({ low: -0.01, high: 0.01 }, 'dB', 6, 'figure P25; Shapley 1953'),
      shares,
    ),
    rowOf(
      ID,
      'gains, a mute and a turned polarity as predicted, less the signals summed with them',
      limitOf({ low: -0.05, high: 0.05 }, 'dB', 6, 'figure P25'),
      renders,
    ),
  ]
}

function meanOverOrders(
  level: (set: Float64Array) => number,
  players: readonly number[],
  layers: number,
): number[] {
  const sums = new Array<number>(layers).fill(0)
  const orders = ordersOf(players)
  for (const order of orders) {
    const set = new Float64Array(layers)
    set[0] = 1
    let before = level(set)
    for (const k of order) {
      set[k] = 1
      const after = level(set)
      sums[k] += (after - before) / orders.length
      before = after
    }
  }
  return sums
}

const ordersOf = (values: readonly number[]): number[][] =>
  values.length === 0
    ? [[]]
    : values.flatMap((one) => ordersOf(values.filter((other) => other !== one)).map((rest) => [one, ...rest]))
