// Long-term spectra: flat and pink noise, published spectra of speech, and
// a bell that was planted.

import { thirdOctaveAt } from '../../../../app/dsp/analysis/spectra/third-octaves.ts'
import {
  ansiLevelsDb,
  BESIDE_STEPS,
  bandErrorsDb,
  bellOverBandDb,
  byrneLevelsDb,
  LEVELS_RATE_HZ,
  LOG2_FRAMES,
  longTermLevels,
  slopedLevelsDb,
} from '../../../signals/long-term-levels.ts'
import { bandNoise } from '../../../signals/shaped-noise.ts'
import { throughBand } from '../../../signals/voice-takes.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

const TARGET = 'Takeloft’s own target'
const BELL_HZ = 1000
const BELL_DB = 6
const BELL_Q = 4

const errorsFrom = (
  lowestHz: number,
  name: string,
  wantedDb: ReadonlyMap<number, number>,
  seed: number,
): Reading[] =>
  [...bandErrorsDb(wantedDb, seed)]
    .filter(([nominalHz]) => nominalHz >= lowestHz)
    .map(([nominalHz, value]) => ({ where: `${name}, ${nominalHz} Hz`, value }))

/** What a bell lifted the long-term level of flat noise by, less what it should. */
function bellErrors(): Reading[] {
  const flat = bandNoise([{ lowerHz: 40, upperHz: 20_000, levelDb: -30 }], LOG2_FRAMES, LEVELS_RATE_HZ, 6)
  const before = longTermLevels(flat)
  const after = longTermLevels(throughBand(flat, 'bell', BELL_HZ, BELL_DB, BELL_Q))
  return [
    { nominalHz: 500, fromHz: 446.68, toHz: 562.34 },
    { nominalHz: 800, fromHz: 707.95, toHz: 891.25 },
    { nominalHz: 1000, fromHz: 891.25, toHz: 1122.02 },
    { nominalHz: 1250, fromHz: 1122.02, toHz: 1412.54 },
    { nominalHz: 2000, fromHz: 1778.28, toHz: 2238.72 },
  ].map(({ nominalHz, fromHz, toHz }) => {
    const band = thirdOctaveAt(nominalHz)
    const lift = (after[band] ?? Number.NaN) - (before[band] ?? Number.NaN)
    return {
      where: `${nominalHz} Hz`,
      value: lift - bellOverBandDb(BELL_HZ, BELL_DB, BELL_Q, fromHz, toHz),
    }
  })
}

export function spectrumRows(): Row[] {
  const published = [
    ...(['men', 'women'] as const).map((name) => ({
      name,
      source: `Byrne 1994, ${name}`,
      errors: bandErrorsDb(byrneLevelsDb(name), 3),
    })),
    ...(['normal', 'raised'] as const).map((name) => ({
      name,
      source: `ANSI S3.5-1997, ${name}`,
      errors: bandErrorsDb(ansiLevelsDb(name), 4),
    })),
  ].flatMap(({ name, source, errors }) =>
    [...errors]
      .filter(([nominalHz]) => nominalHz >= 100)
      .map(([nominalHz, value]) => ({
        where: `${source}, ${nominalHz} Hz`,
        value,
        stepDb: BESIDE_STEPS[name].get(nominalHz),
      })),
  )
  const halfDb = limitOf(
    { low: -0.5, high: 0.5 },
    'dB',
    2,
    'ours: 0.3 dB as of flat noise, and what steep slopes add',
  )
  return [
    rowOf(
      'T2',
      'white and pink noise: error of a third octave',
      limitOf({ low: -0.3, high: 0.3 }, 'dB', 2, TARGET),
      [...errorsFrom(80, 'white', slopedLevelsDb(10), 5), ...errorsFrom(80, 'pink', slopedLevelsDb(0), 5)],
    ),
    rowOf(
      'T2',
      'a bell of 6 dB (q 4) at 1 kHz: error of the lift',
      limitOf({ low: -0.5, high: 0.5 }, 'dB', 2, TARGET),
      bellErrors(),
    ),
    rowOf(
      'T2',
      'noise shaped to published speech: error of a third octave',
      halfDb,
      published.filter(({ stepDb }) => stepDb === undefined),
    ),
    rowOf(
      'T2',
      'the same where the next band is 6 to 13 dB higher, of what is allowed there',
      limitOf({ high: 100 }, '%', 0, 'ours: the window of 85 ms hears the flank: 0.8, 1.5 and 5 dB'),
      published.flatMap(({ where, value, stepDb }) =>
        stepDb === undefined ? [] : [{ where, value: (100 * Math.abs(value)) / stepDb }],
      ),
    ),
  ]
}
