// F1: the loudness meter on every signal of EBU Tech 3341 and 3342 that can be made by
// calculation, and beside other people's meters on real speech.

import { createLoudnessMeter, type LoudnessMeter } from '../../../app/dsp/meters/loudness.ts'
import {
  alternatingCase,
  integratedCase,
  lateToneCase,
  rangeCase,
  risingToneCase,
  surroundCase,
} from '../../signals/standards.ts'
import { feed, tone } from '../../signals/tones.ts'
import { LIMITS } from '../limits.ts'
import { withOutsideMeters } from '../outside-meters.ts'
import { firstNumber, readReferenceTable, toleranceOf } from '../reference-table.ts'
import { db, type Figure, type Limit, limitOf, missingRow, type Reading, type Row, rowOf } from '../rows.ts'
import { haveSpeech, SPEECH_MISSING, speech } from '../speech.ts'

const RATES_HZ = [44_100, 48_000, 96_000]
const READ_EVERY_SECONDS = 0.01

type Sound = readonly Float64Array[]

function metered(signal: Sound, sampleRateHz: number): LoudnessMeter {
  const meter = createLoudnessMeter({ sampleRateHz, channels: signal.length })
  feed(meter.add, signal)
  return meter
}

/** A reading of the meter every 10 ms, with the second it is of. */
function readingsOverTime(
  signal: Sound,
  sampleRateHz: number,
  read: 'momentaryLufs' | 'shortTermLufs',
): { readonly atSeconds: number; readonly lufs: number }[] {
  const meter = createLoudnessMeter({ sampleRateHz, channels: signal.length })
  const readings: { atSeconds: number; lufs: number }[] = []
  let frame = 0
  const add = (channels: Sound, frames: number) => {
    meter.add(channels, frames)
    frame += frames
    readings.push({ atSeconds: frame / sampleRateHz, lufs: meter[read]() ?? -Infinity })
  }
  feed(add, signal, Math.round(READ_EVERY_SECONDS * sampleRateHz))
  return readings
}

/** Everything that a case asks to be read, less what is expected: LU. Empty for cases that need the EBU's files. */
function errorsOfCase(number: number, expected: number, rate: number): number[] {
  const off = (lufs: number | null) => (lufs ?? Number.NaN) - expected
  switch (number) {
    case 1:
    case 2: {
      const meter = metered(integratedCase(number, rate), rate)
      return [meter.integratedLufs(), meter.momentaryLufs(), meter.shortTermLufs()].map(off)
    }
    case 3:
    case 4:
    case 5:
      return [off(metered(integratedCase(number, rate), rate).integratedLufs())]
    case 6:
      return [off(metered(surroundCase(rate), rate).integratedLufs())]
    case 9:
    case 12: {
      const [read, fromSeconds] =
        number === 9 ? (['shortTermLufs', 3] as const) : (['momentaryLufs', 1] as const)
      return readingsOverTime(alternatingCase(number, rate), rate, read)
        .filter(({ atSeconds }) => atSeconds >= fromSeconds - 1e-9)
        .map(({ lufs }) => off(lufs))
    }
    case 10:
    case 13:
      return Array.from({ length: 20 }, (_, i) => {
        const meter = metered(lateToneCase(number, i, rate), rate)
        return off(number === 10 ? meter.maxShortTermLufs() : meter.maxMomentaryLufs())
      })
    case 11:
    case 14: {
      const { signal, segmentSeconds } = risingToneCase(number, rate)
      const readings = readingsOverTime(signal, rate, number === 11 ? 'shortTermLufs' : 'momentaryLufs')
      // Expected is the first of 20 tones, each 1 LU above the last.
      return Array.from({ length: 20 }, (_, i) => {
        const inSegment = readings.filter(
          ({ atSeconds }) =>
            atSeconds > i * segmentSeconds + 1e-9 && atSeconds <= (i + 1) * segmentSeconds + 1e-9,
        )
        return Math.max(...inSegment.map(({ lufs }) => lufs)) - (expected + i)
      })
    }
    default:
      return []
  }
}

const kHz = (rate: number) => `${rate / 1000} kHz`
const farthest = (values: readonly number[]) =>
  values.reduce(
    (worst, value) => (Math.abs(value) > Math.abs(worst) || Number.isNaN(value) ? value : worst),
    0,
  )

function rowsOfTech3341(): Row[] {
  const { source, rows } = readReferenceTable('ebu-tech3341-cases.csv')
  return rows.flatMap((row): Row[] => {
    const number = Number(row.case)
    if (number > 14) return []
    const tolerance = toleranceOf(row.tolerance_dB_or_LU)
    const limit = limitOf(tolerance, 'LU', 3, source.split(';')[0])
    const what = `Tech 3341 case ${number}: ${row.quantity}, ${row.expected}`
    if (row.computed_here === 'not synthesisable') return []
    const expected = firstNumber(row.expected)
    return [
      rowOf(
        'F1',
        what,
        limit,
        RATES_HZ.map((rate) => ({ where: kHz(rate), value: farthest(errorsOfCase(number, expected, rate)) })),
      ),
    ]
  })
}

function rowsOfTech3342(): Row[] {
  const { source, rows } = readReferenceTable('ebu-tech3342-cases.csv')
  return rows.flatMap((row): Row[] => {
    const number = Number(row.case)
    if (number !== 1 && number !== 2 && number !== 3 && number !== 4) return []
    const limit = limitOf(toleranceOf(row.tolerance_LU), 'LU', 3, source.split(';')[0])
    const expected = Number(row.expected_LRA_LU)
    const readings = RATES_HZ.map((rate) => ({
      where: kHz(rate),
      value: (metered(rangeCase(number, rate), rate).loudnessRangeLu() ?? Number.NaN) - expected,
    }))
    return [rowOf('F1', `Tech 3342 case ${number}: loudness range, ${expected} LU`, limit, readings)]
  })
}

/** |H| in dB of the two printed sections at a rate of the table, at one frequency. */
function printedWeightingDb(rate: number, frequencyHz: number): number {
  const { rows } = readReferenceTable('bs1770-k-weighting-coefficients.csv')
  const w = (2 * Math.PI * frequencyHz) / rate
  const size = (c0: number, c1: number, c2: number) =>
    Math.hypot(c0 + c1 * Math.cos(w) + c2 * Math.cos(2 * w), c1 * Math.sin(w) + c2 * Math.sin(2 * w))
  return rows
    .filter((row) => Number(row.sample_rate_Hz) === rate)
    .map((row) =>
      db(size(Number(row.b0), Number(row.b1), Number(row.b2)) / size(1, Number(row.a1), Number(row.a2))),
    )
    .reduce((sum, one) => sum + one, 0)
}

/** What cases of 1 kHz alone do not show: the weighting over frequency, read off the meter. */
function rowOfWeighting(): Row {
  const { source } = readReferenceTable('bs1770-k-weighting-coefficients.csv')
  const limit = limitOf(
    { low: -0.05, high: 0.05 },
    'dB',
    4,
    `tolerance ours; ${source.split(' (as printed)')[0]}`,
  )
  const readings = RATES_HZ.flatMap((rate) =>
    [40, 100, 500, 1000, 2000, 4000, 10_000, 18_000].map((frequencyHz): Reading => {
      const lufs = metered([tone(5 * rate, rate, frequencyHz, 0.1)], rate).integratedLufs() ?? Number.NaN
      // BS.1770-5 Annex 1 eq. 2: -0.691 + 10 log10 of the weighted mean square.
      const expected = -0.691 + 10 * Math.log10(0.1 ** 2 / 2) + printedWeightingDb(rate, frequencyHz)
      return { where: `${frequencyHz} Hz at ${kHz(rate)}`, value: lufs - expected }
    }),
  )
  return rowOf('F1', 'tones of 40 Hz to 18 kHz less what the printed sections give', limit, readings)
}

/** The speech at three levels in turn, so that it has a range to speak of. */
function speechInSteps(rate: number): Float64Array {
  const voice = speech(rate)
  return Float64Array.from([1, 0.2, 0.5].flatMap((gain) => [...voice].map((sample) => sample * gain)))
}

function rowsAgainstOthers(): Row[] {
  const rows: Row[] = []
  const rangeLimit: Limit = limitOf({ low: -1, high: 1 }, 'LU', 3, 'EBU Tech 3342, tolerance of its cases')
  withOutsideMeters((meters, missing) => {
    const name = (meter: string) => `integrated loudness of real speech less that of ${meter}`
    for (const meter of missing) {
      rows.push(
        missingRow('F1', name(meter), LIMITS.loudnessAgainstOthersLu, `${meter} is not on this machine`),
      )
    }
    for (const meter of meters) {
      if (!haveSpeech) {
        rows.push(missingRow('F1', name(meter.name), LIMITS.loudnessAgainstOthersLu, SPEECH_MISSING))
        continue
      }
      const integrated: Reading[] = []
      const range: Reading[] = []
      for (const rate of RATES_HZ) {
        const voice = speech(rate)
        const late = voice.map((_, n) => 0.4 * (voice[n - 500] ?? 0))
        const sounds: [string, Sound][] = [
          ['mono', [voice]],
          ['stereo', [voice, late]],
        ]
        for (const [channels, sound] of sounds) {
          const where = `${kHz(rate)}, ${channels}`
          const ours = metered(sound, rate).integratedLufs() ?? Number.NaN
          integrated.push({ where, value: ours - meter.read(sound, rate).integratedLufs })
        }
        const steps = speechInSteps(rate)
        // Tech 3342 section 5: a file meter adds 1.5 s of silence; the others are given it.
        const followed = new Float64Array(steps.length + Math.round(1.5 * rate))
        followed.set(steps)
        const ours = metered([steps], rate).loudnessRangeLu() ?? Number.NaN
        range.push({ where: kHz(rate), value: ours - meter.read([followed], rate).loudnessRangeLu })
      }
      rows.push(rowOf('F1', name(meter.name), LIMITS.loudnessAgainstOthersLu, integrated))
      rows.push(rowOf('F1', `loudness range of real speech less that of ${meter.name}`, rangeLimit, range))
    }
  })
  return rows
}

export function measureLoudness(): Figure {
  return {
    id: 'F1',
    title: 'Loudness meter',
    rows: [...rowsOfTech3341(), rowOfWeighting(), ...rowsOfTech3342(), ...rowsAgainstOthers()],
    plots: [],
  }
}
