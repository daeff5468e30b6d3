// F4: what the drive adds that is no harmonic, its harmonics against the formula, DC, the
// mix, and its loudness match on speech.

import type { DriveSettings, StageSetup } from '../../../app/dsp/stages/settings.ts'
import { matchDriveOutput } from '../../../app/engine/measuring/match-drive.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { greatestLevelDb, sineAmplitude, spectrumOf } from '../../signals/spectra.ts'
import { takeInMemory } from '../../signals/takes.ts'
import { tone } from '../../signals/tones.ts'
import { LIMITS } from '../limits.ts'
import { withOutsideMeters } from '../outside-meters.ts'
import { evenAxis, type Plot } from '../plot.ts'
import { readReferenceTable } from '../reference-table.ts'
import {
  db,
  differingSamples,
  type Figure,
  type Limit,
  limitOf,
  missingRow,
  nullDb,
  type Reading,
  type Row,
  rowOf,
} from '../rows.ts'
import { runMono } from '../run-stage.ts'
import { haveSpeech, SPEECH_MISSING, speech } from '../speech.ts'

const FS = 48_000
const FRAMES = 65_536
/** A second for the 5 Hz high-pass to settle. */
const SETTLING = FS
const MINUS_6_DBFS = 10 ** (-6 / 20)

const SETTINGS: DriveSettings = {
  amountDb: 12,
  referenceDbfs: -12,
  evenPercent: 0,
  mixPercent: 100,
  outputDb: 0,
}

const driveOf = (settings: Partial<DriveSettings>): StageSetup => ({
  kind: 'drive',
  settings: { ...SETTINGS, ...settings },
})

function drivenSine(
  settings: Partial<DriveSettings>,
  frequencyHz: number,
  amplitude = MINUS_6_DBFS,
  rate = FS,
) {
  return runMono([driveOf(settings)], tone(SETTLING + FRAMES, rate, frequencyHz, amplitude), rate).subarray(
    SETTLING,
  )
}

const harmonicsTo = (topHz: number, frequencyHz: number) =>
  Array.from({ length: Math.floor(topHz / frequencyHz) }, (_, k) => (k + 1) * frequencyHz)

/**
 * Greatest component that is neither harmonic nor DC, in dB re the fundamental. Up to half
 * the rate unless a band is named.
 */
function nonHarmonicDb(
  settings: Partial<DriveSettings>,
  frequencyHz: number,
  rate = FS,
  topHz = rate / 2,
): number {
  const { amplitudes, binHz } = spectrumOf(drivenSine(settings, frequencyHz, MINUS_6_DBFS, rate), rate)
  const inBand = { amplitudes: amplitudes.subarray(0, Math.floor(topHz / binHz) + 1), binHz }
  return greatestLevelDb(inBand, harmonicsTo(rate / 2, frequencyHz)) - greatestLevelDb(inBand)
}

/**
 * Two tones at -6 dBFS each. Sums and differences of them up to order 30 are what the curve makes; whatever else
 * is there has folded back. Spectra of whole periods, so that no window spreads one into the other.
 */
function foldedOfTwoTonesDb(rate: number): number {
  const bins = [5000, 7000].map((hz) => 2 * Math.round((hz * FRAMES) / rate / 2) + 1)
  const sound = Float64Array.from({ length: SETTLING + FRAMES }, (_, n) =>
    bins.reduce((sum, bin) => sum + MINUS_6_DBFS * Math.sin((2 * Math.PI * bin * n) / FRAMES), 0),
  )
  const output = runMono([driveOf({})], sound, rate).subarray(SETTLING)
  const made = new Set<number>()
  for (let i = -30; i <= 30; i++) {
    for (let j = Math.abs(i) - 30; j <= 30 - Math.abs(i); j++) made.add(i * bins[0] + j * bins[1])
  }
  const { amplitudes, binHz } = spectrumOf(output, rate)
  const wanted = [...made].filter((bin) => bin >= 0 && bin <= FRAMES / 2).map((bin) => (bin * rate) / FRAMES)
  const spectrum = { amplitudes, binHz }
  return greatestLevelDb(spectrum, wanted) - greatestLevelDb(spectrum)
}

/** Frequencies whose folded harmonics do not fall on others. */
const FREQUENCIES = [1249, 2503, 3761, 5000, 5003, 6247, 7349]
/** Primes that are closer together; some have a harmonic right above half the rate. */
const MORE_FREQUENCIES = [
  ...[997, 1249, 1873, 2503, 3119, 3761, 4373, 5003, 5623],
  ...[6247, 6871, 7349, 8117, 8747, 9371, 9941],
]
/** Primes up to 15 kHz; the third harmonic of the second is right above half of 48 kHz. */
const HIGH_FREQUENCIES = [7499, 8117, 8747, 9371, 9941, 11_003, 12_007, 13_001, 14_009, 14_999]
const AUDIBLE_HZ = 20_000

function rowsOfAliases(): Row[] {
  const evens = [0, 50, 100]
  const rows = FREQUENCIES.map((frequencyHz) =>
    rowOf(
      'F4',
      `${frequencyHz} Hz: greatest non-harmonic re fundamental, −6 dBFS, 12 dB of drive`,
      LIMITS.nonHarmonicDb,
      evens.map((evenPercent) => ({
        where: `even ${evenPercent} %`,
        value: nonHarmonicDb({ evenPercent }, frequencyHz),
      })),
    ),
  )
  const over = (
    name: string,
    limit: Limit,
    frequencies: readonly number[],
    rates: readonly number[],
    references: readonly number[],
  ) =>
    rowOf(
      'F4',
      name,
      limit,
      frequencies.flatMap((frequencyHz) =>
        rates.flatMap((rate) =>
          references.map((referenceDbfs) => ({
            where: `${frequencyHz} Hz, ${rate / 1000} kHz, reference ${referenceDbfs} dBFS`,
            value: nonHarmonicDb({ referenceDbfs, evenPercent: 50 }, frequencyHz, rate),
          })),
        ),
      ),
    )
  return [
    ...rows,
    over(
      'the same, references 6 and 12 dB lower: pushed so much harder',
      LIMITS.nonHarmonicDb,
      [1249, 5000],
      [FS],
      [-18, -24],
    ),
    rowOf(
      'F4',
      'sixteen frequencies from 1 to 10 kHz, to 20 kHz',
      LIMITS.nonHarmonicDb,
      MORE_FREQUENCIES.map((frequencyHz) => ({
        where: `${frequencyHz} Hz`,
        value: nonHarmonicDb({ evenPercent: 50 }, frequencyHz, FS, AUDIBLE_HZ),
      })),
    ),
    rowOf(
      'F4',
      'fundamentals from 7.5 to 15 kHz',
      LIMITS.nonHarmonicTo15kHzDb,
      HIGH_FREQUENCIES.flatMap((frequencyHz) =>
        [44_100, FS, 96_000].map((rate) => ({
          where: `${frequencyHz} Hz, ${rate / 1000} kHz`,
          value: nonHarmonicDb({ evenPercent: 30 }, frequencyHz, rate),
        })),
      ),
    ),
    rowOf(
      'F4',
      '5 and 7 kHz together: greatest component that is no sum or difference of theirs',
      LIMITS.nonHarmonicTo15kHzDb,
      [44_100, FS, 96_000].map((rate) => ({ where: `${rate / 1000} kHz`, value: foldedOfTwoTonesDb(rate) })),
    ),
    over('the same at 44.1 and 96 kHz', LIMITS.nonHarmonicDb, [1249, 5000], [44_100, 96_000], [-12]),
    over('7349 Hz pushed 6 and 12 dB harder', LIMITS.nonHarmonicBeyondDb, [7349], [FS], [-18, -24]),
  ]
}

function rowOfDc(): Row {
  const readings = [0, 50, 100].flatMap((evenPercent) =>
    [12, 24].map((amountDb) => {
      const output = drivenSine({ evenPercent, amountDb }, (1705 * FS) / FRAMES)
      const mean = output.reduce((sum, x) => sum + x, 0) / output.length
      return { where: `even ${evenPercent} %, ${amountDb} dB`, value: db(Math.abs(mean)) }
    }),
  )
  return rowOf('F4', 'DC of a driven sine', LIMITS.driveDcDbfs, readings)
}

/** Amplitudes of the harmonics of (tanh(u + b) - tanh b) / (1 - tanh^2 b), u = a sin, by Fourier's integral. */
function curveHarmonic(a: number, b: number, harmonic: number): number {
  const steps = 4096
  let re = 0
  let im = 0
  for (let i = 0; i < steps; i++) {
    const angle = (2 * Math.PI * i) / steps
    const y = (Math.tanh(a * Math.sin(angle) + b) - Math.tanh(b)) / (1 - Math.tanh(b) ** 2)
    re += y * Math.cos(harmonic * angle)
    im += y * Math.sin(harmonic * angle)
  }
  return (2 * Math.hypot(re, im)) / steps
}

function rowOfHarmonics(): Row {
  const readings = [
    [6, 0],
    [12, 0],
    [12, 40],
    [12, 100],
    [20, 60],
  ].flatMap(([amountDb, evenPercent]) => {
    const output = drivenSine({ amountDb, evenPercent }, 997)
    const push = 10 ** (amountDb / 20)
    return (evenPercent === 0 ? [1, 3, 5] : [1, 2, 3, 4]).map((harmonic) => {
      const expected = curveHarmonic(MINUS_6_DBFS * push, (0.5 * evenPercent) / 100, harmonic) / push
      const measured = sineAmplitude(output, 997 * harmonic, FS)
      return {
        where: `H${harmonic}, ${amountDb} dB, even ${evenPercent} %`,
        value: Math.abs(db(measured / expected)),
      }
    })
  })
  return rowOf('F4', 'harmonics of 997 Hz against the curve’s formula', LIMITS.harmonicsDb, readings)
}

/** The harmonics of plain tanh, worked out apart from the program. */
function rowOfTable(): Row {
  const { rows, source } = readReferenceTable('saturation-aliasing-computed.csv')
  const readings = rows
    .filter(({ curve, method }) => curve === 'tanh' && method === 'naive 8x')
    .map((row): Reading => {
      const drive = Number(row.drive_linear)
      const frequencyHz = (Number(row.f0_bin) * FS) / FRAMES
      const output = drivenSine({ amountDb: 20 * Math.log10(drive), referenceDbfs: -12 }, frequencyHz, 1)
      const [fundamental, ...others] = harmonicsTo(FS / 2, frequencyHz).map((hz) =>
        sineAmplitude(output, hz, FS),
      )
      const together = Math.sqrt(others.reduce((sum, x) => sum + x * x, 0))
      const expected = Number(row.harmonics_total_dB)
      return {
        where: `drive ${drive}, ${row.f0_Hz} Hz: ${expected} dB`,
        value: Math.abs(db(together / fundamental) - expected),
      }
    })
  const limit = { ...LIMITS.harmonicsDb, source: `tolerance ours; ${source.split(';')[0]}` }
  return rowOf('F4', 'tanh: harmonics together re fundamental against the table', limit, readings)
}

function rowsOfMix(): Row[] {
  const { samples } = hissedLine(2, FS, 9)
  const at = (mixPercent: number) => runMono([driveOf({ mixPercent, evenPercent: 20 })], samples)
  const [dry, half, driven] = [0, 50, 100].map(at)
  const mean = dry.map((x, n) => (x + driven[n]) / 2)
  return [
    rowOf('F4', 'mix 0 %: samples that differ from the input', LIMITS.differingSamples, [
      { where: 'a generated line', value: differingSamples(dry, samples) },
    ]),
    rowOf('F4', 'mix 50 % against the mean of dry and driven (a comb would show)', LIMITS.combDb, [
      { where: 'a generated line', value: nullDb(half, mean) },
    ]),
  ]
}

/** What the command that matches a drive gives, heard by the meters of others. */
function rowsOfLoudness(): Row[] {
  const what = (meter: string) => `speech: driven less clean, matched, by ${meter}`
  const rows: Row[] = []
  withOutsideMeters((meters, missing) => {
    for (const name of missing) {
      rows.push(missingRow('F4', what(name), LIMITS.driveLoudnessLu, `${name} is not on this machine`))
    }
    for (const { name, read } of meters) {
      if (!haveSpeech) {
        rows.push(missingRow('F4', what(name), LIMITS.driveLoudnessLu, SPEECH_MISSING))
        continue
      }
      const clean = speech()
      const cleanLufs = read([clean], FS).integratedLufs
      const differenceLu = (changes: Partial<DriveSettings>): Reading => {
        const settings = { ...SETTINGS, ...changes }
        const outputDb = matchDriveOutput(takeInMemory([clean]), FS, [], settings, () => {}) ?? Number.NaN
        const driven = runMono([driveOf({ ...settings, outputDb })], clean)
        return {
          where: `${JSON.stringify(changes).replace(/[{}"]/g, '')}: output ${outputDb.toFixed(2)} dB`,
          value: read([driven], FS).integratedLufs - cleanLufs,
        }
      }
      const readings = [
        { amountDb: 12 },
        { amountDb: 12, evenPercent: 60 },
        { amountDb: 12, referenceDbfs: -18 },
        { amountDb: 18, mixPercent: 50 },
      ].map(differenceLu)
      rows.push(rowOf('F4', what(name), LIMITS.driveLoudnessLu, readings))
      // From here on the drive lifts pauses over the meter's gate, which lowers what it reads.
      const hard = [{ amountDb: 24 }, { amountDb: 24, referenceDbfs: -24 }].map(differenceLu)
      rows.push(rowOf('F4', `${what(name)}, pushed 12 and 24 dB harder`, LIMITS.driveLoudnessBeyondLu, hard))
    }
  })
  return rows
}

function rowOfHostileInput(): Row {
  const readings = Object.entries({ '+60 dB': 1000, 'full scale': 1 }).map(([where, peak]) => {
    const output = runMono(
      [driveOf({ amountDb: 24, referenceDbfs: -48, evenPercent: 100 })],
      tone(4800, FS, 997, peak),
    )
    return { where, value: output.reduce((count, x) => count + Number(!Number.isFinite(x)), 0) }
  })
  return rowOf(
    'F4',
    'hardest push: samples that are no number',
    limitOf({ high: 0 }, 'samples', 0, 'figure F4 of the product'),
    readings,
  )
}

function spectrumPlot(frequencyHz: number): Plot {
  const { amplitudes, binHz } = spectrumOf(drivenSine({ evenPercent: 30 }, frequencyHz), FS)
  const fundamental = amplitudes.reduce((most, x) => Math.max(most, x), 0)
  return {
    title: `Harmonics and aliases, ${frequencyHz} Hz`,
    caption:
      'Sine at −6 dBFS, 12 dB of drive, even 30 %, re the fundamental. Everything but the harmonics has to stay under the dashed line.',
    x: evenAxis('frequency, Hz', 0, 24_000, 4000),
    y: evenAxis('level, dB', -180, 0, 20),
    curves: [
      {
        name: 'spectrum',
        xs: amplitudes.map((_, k) => k * binHz),
        ys: amplitudes.map((x) => db(x / fundamental)),
        kind: 'line',
        colour: 'accent',
      },
      { name: 'limit', xs: [0, 24_000], ys: [-100, -100], kind: 'dashed', colour: 'failure' },
    ],
  }
}

function aliasPlot(): Plot {
  const of = (settings: Partial<DriveSettings>, topHz: number) =>
    MORE_FREQUENCIES.map((f) => nonHarmonicDb({ evenPercent: 30, ...settings }, f, FS, topHz))
  return {
    title: 'Greatest non-harmonic over frequency',
    caption:
      'Sines at −6 dBFS, 12 dB of drive, even 30 %. Where a harmonic falls between 24 and 25 kHz it folds to 23 to 24 kHz: to half the rate that counts, to 20 kHz it does not.',
    x: evenAxis('frequency of the sine, Hz', 0, 10_000, 2000),
    y: evenAxis('level re fundamental, dB', -180, -60, 20),
    curves: [
      { name: 'to 20 kHz', xs: MORE_FREQUENCIES, ys: of({}, AUDIBLE_HZ), kind: 'points', colour: 'accent' },
      { name: 'to half the rate', xs: MORE_FREQUENCIES, ys: of({}, FS / 2), kind: 'points', colour: 'slate' },
      {
        name: 'to 20 kHz, pushed 12 dB harder',
        xs: MORE_FREQUENCIES,
        ys: of({ referenceDbfs: -24 }, AUDIBLE_HZ),
        kind: 'points',
        colour: 'sand',
      },
      { name: 'limit', xs: [0, 10_000], ys: [-100, -100], kind: 'dashed', colour: 'failure' },
    ],
  }
}

function curvePlot(): Plot {
  const inputs = Array.from({ length: 161 }, (_, i) => (i - 80) / 80)
  const through = (settings: Partial<DriveSettings>) => {
    const frequencyHz = 400
    const output = runMono([driveOf(settings)], tone(2 * FS, FS, frequencyHz, 1))
    // Read on the rise of a period after a second, between the samples.
    return inputs.map((input) => {
      const at = FS + (FS / frequencyHz) * (1 + Math.asin(input) / (2 * Math.PI))
      const before = Math.floor(at)
      return output[before] + (at - before) * (output[before + 1] - output[before])
    })
  }
  return {
    title: 'The curve as it sounds',
    caption: 'Sample out over sample in on the rise of a 400 Hz sine of amplitude 1, 12 dB of drive.',
    x: evenAxis('sample in', -1, 1, 0.5),
    y: evenAxis('sample out', -0.5, 0.5, 0.25),
    curves: [
      { name: 'even 0 %', xs: inputs, ys: through({}), kind: 'line', colour: 'accent' },
      { name: 'even 100 %', xs: inputs, ys: through({ evenPercent: 100 }), kind: 'line', colour: 'sand' },
    ],
  }
}

export function measureDrive(): Figure {
  return {
    id: 'F4',
    title: 'Drive',
    rows: [
      ...rowsOfAliases(),
      rowOfDc(),
      rowOfHarmonics(),
      rowOfTable(),
      ...rowsOfMix(),
      ...rowsOfLoudness(),
      rowOfHostileInput(),
    ],
    plots: [spectrumPlot(1249), spectrumPlot(5003), aliasPlot(), curvePlot()],
  }
}
