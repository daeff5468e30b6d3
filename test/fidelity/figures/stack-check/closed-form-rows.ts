// Sums of layers whose build-up, shares and comb are known in closed form.

import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'
import { bandsOf, checkOf, dbOf, ID, noise } from './stacks.ts'

export function closedForms(): Row[] {
  const unrelated: Reading[] = []
  const identical: Reading[] = []
  const sums: Reading[] = []
  for (const k of [2, 4, 8]) {
    const bands = bandsOf(Array.from({ length: k }, (_, i) => noise(i + 1)))
    const judged = bands.filter(({ nominalHz }) => nominalHz >= 250)
    const mean = judged.reduce((sum, { buildUpDb }) => sum + buildUpDb!, 0) / judged.length
    unrelated.push({ where: `${k} layers`, value: mean - dbOf(k) })
    for (const { shares, nominalHz } of bands) {
      const sum = shares!.reduce((all, one) => all + one, 0)
      sums.push({ where: `${k} layers, ${nominalHz} Hz`, value: Math.abs(sum - 1) })
    }
    for (const { buildUpDb, nominalHz } of bandsOf(Array.from({ length: k }, () => noise(1))))
      identical.push({ where: `${k} layers, ${nominalHz} Hz`, value: buildUpDb! - 2 * dbOf(k) })
  }
  const late = noise(1).map((_, n, all) => all[n - 48] ?? 0)
  const comb = checkOf([noise(1), late]).findings.find(({ kind }) => kind === 'combing')
  const notches = comb?.kind === 'combing' ? comb.evidence.notchesHz : []
  return [
    rowOf(
      ID,
      'K unrelated layers: build-up less 10 log10 K',
      limitOf({ low: -0.1, high: 0.1 }, 'dB', 4, 'closed form'),
      unrelated,
    ),
    rowOf(
      ID,
      'K identical layers: build-up less 20 log10 K',
      limitOf({ low: -1e-6, high: 1e-6 }, 'dB', 9, 'closed form'),
      identical,
    ),
    rowOf(
      ID,
      'a copy 1 ms late: notches off 500, 1500, 2500 Hz by',
      limitOf({ high: 1 }, 'Hz', 3, '1 + exp(-j 2 pi f t)'),
      [500, 1500, 2500].map((hz, m) => ({
        where: `${hz} Hz`,
        value: Math.abs((notches[m] ?? Number.NaN) - hz),
      })),
    ),
    rowOf(
      ID,
      'shares of a band: their sum less 1',
      limitOf({ high: 1e-9 }, '', 12, 'figure P25; Shapley'),
      sums,
    ),
  ]
}
