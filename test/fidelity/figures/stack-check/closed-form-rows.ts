// Sums of layers whose build-up, shares and comb are known in closed form.

import { RATE } from '../../../dsp/stack/measured-stack.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'
import { bandsOf, checkOf, dbOf, ID, noise, summed } from './stacks.ts'

export function closedForms(): Row[] {
  const unrelated: Reading[] = []
  const uneven: Reading[] = []
  const identical: Reading[] = []
  const sums: Reading[] = []
  for (const k of [2, 4, 8]) {
    const bands = bandsOf(Array.from({ length: k }, (_, i) => noise(i + 1)))
    const judged = bands.filter(({ nominalHz }) => nominalHz >= 250)
    const mean = judged.reduce((sum, { buildUpDb }) => sum + buildUpDb!, 0) / judged.length
    unrelated.push({ where: `${k} layers`, value: mean - dbOf(k) })
    for (const { buildUpDb, nominalHz } of judged)
      uneven.push({ where: `${k} layers, ${nominalHz} Hz`, value: buildUpDb! - dbOf(k) })
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
  const sum = summed([noise(1), late])
  const alone = noise(1)
  const depths = [0, 1, 2].map((m): Reading => {
    const hz = notches[m] ?? Number.NaN
    return {
      where: `notch ${m + 1}`,
      value: 20 * Math.log10(magnitudeAt(alone, hz) / magnitudeAt(sum, hz)),
    }
  })
  return [
    rowOf(
      ID,
      'K unrelated layers: build-up less 10 log10 K',
      limitOf({ low: -0.1, high: 0.1 }, 'dB', 4, 'closed form'),
      unrelated,
    ),
    rowOf(
      ID,
      'the same, evenly: each third octave from 250 Hz on',
      limitOf({ low: -0.6, high: 0.6 }, 'dB', 3, 'closed form; 20 s of noise scatter by 0.15 dB at 250 Hz'),
      uneven,
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
      'the sum itself at the notches that are named, by correlation: dB that it is under one layer',
      limitOf({ low: 20 }, 'dB', 1, 'ours: 50 Hz beside a notch it is 10 dB'),
      depths,
    ),
    rowOf(
      ID,
      'a copy 1 ms late and 0 to 12 dB down: its ripple less 20 log10((1 + a) / (1 - a))',
      limitOf({ low: -0.3, high: 0.3 }, 'dB', 3, 'closed form: 9.54 dB at -6.02 dB, 4.44 dB at -12 dB'),
      ripples(),
    ),
    rowOf(
      ID,
      'shares of a band: their sum less 1',
      limitOf({ high: 1e-9 }, '', 12, 'figure P25; Shapley'),
      sums,
    ),
  ]
}

/** Magnitude of ten seconds at one frequency, by correlation with a sine and a cosine. */
function magnitudeAt(samples: Float64Array, hz: number): number {
  let [re, im] = [0, 0]
  const frames = 10 * RATE
  for (let n = RATE; n < RATE + frames; n++) {
    re += samples[n] * Math.cos((2 * Math.PI * hz * n) / RATE)
    im += samples[n] * Math.sin((2 * Math.PI * hz * n) / RATE)
  }
  return Math.hypot(re, im)
}

function ripples(): Reading[] {
  return [-2, -6.0206, -9, -12].map((db) => {
    const a = 10 ** (db / 20)
    const copy = noise(1).map((_, n, all) => a * (all[n - 48] ?? 0))
    const found = checkOf([noise(1), copy]).findings.find(({ kind }) => kind === 'combing')
    const depthDb = found?.kind === 'combing' ? found.evidence.depthDb : Number.NaN
    return { where: `${db} dB`, value: depthDb - 20 * Math.log10((1 + a) / (1 - a)) }
  })
}
