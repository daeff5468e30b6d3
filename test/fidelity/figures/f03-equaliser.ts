// F3: bells, shelves and low-cuts against their analogue prototypes, the drawn curve against
// the sounding one, and sections while a control is swept.

import { bandsResponseDb, lowCutResponseDb } from '../../../app/dsp/filters/response.ts'
import { createStage } from '../../../app/dsp/stages/create-stage.ts'
import type { Band, StageSetup } from '../../../app/dsp/stages/settings.ts'
import { restoreMemory, saveMemory } from '../../dsp/reference/checkpoint.ts'
import { butterworthHighPassDb, prototypeBandDb } from '../../signals/analogue-prototypes.ts'
import { tone } from '../../signals/tones.ts'
import { LIMITS } from '../limits.ts'
import { evenAxis, LOG_HZ, type Plot } from '../plot.ts'
import { readReferenceTable } from '../reference-table.ts'
import { measureResponse } from '../response.ts'
import { type Figure, greatestOf, type Reading, type Row, rowOf } from '../rows.ts'

const RATES_HZ = [44_100, 48_000]
const GAINS_DB = [-12, -3, 6, 12]
const CENTRES_TO_8K = [50, 200, 1000, 3150, 5000, 8000]
const CENTRES_TO_12K = [10_000, 12_000]

function bandsAt(frequencyHz: number): Band[] {
  const of = (shape: Band['shape'], qs: readonly number[]) =>
    qs.flatMap((q) => GAINS_DB.map((gainDb): Band => ({ shape, frequencyHz, gainDb, q })))
  return [
    ...of('bell', [0.5, 1, 2.5, 8]),
    ...of('low-shelf', [0.5, Math.SQRT1_2, 1]),
    ...of('high-shelf', [0.5, Math.SQRT1_2, 1]),
  ]
}

const toneOf = (band: Band): StageSetup => ({ kind: 'tone', settings: { bands: [band] } })
const bandText = ({ shape, frequencyHz, gainDb, q }: Band, rate: number) =>
  `${shape} ${frequencyHz} Hz, ${gainDb} dB, Q ${Number(q.toFixed(3))}, at ${rate / 1000} kHz`

interface Worst {
  to16kHz: Reading
  to20kHz: Reading
  drawn: Reading
}

const nothing = (): Reading => ({ where: '', value: 0 })
const greater = (a: Reading, value: number, where: string): Reading =>
  value > a.value ? { where, value } : a

/** The greatest errors of one rate's grid of bands, one row of readings per rate. */
function measureBands(centresHz: readonly number[], rate: number): Worst {
  const worst: Worst = { to16kHz: nothing(), to20kHz: nothing(), drawn: nothing() }
  for (const band of centresHz.flatMap(bandsAt)) {
    const { frequenciesHz, levelsDb } = measureResponse([toneOf(band)], rate)
    const drawnDb = bandsResponseDb([band], frequenciesHz, rate)
    frequenciesHz.forEach((f, i) => {
      const error = Math.abs(levelsDb[i] - prototypeBandDb(band, f))
      const where = `${bandText(band, rate)}: ${Math.round(f)} Hz`
      if (f <= 16_000) worst.to16kHz = greater(worst.to16kHz, error, where)
      else worst.to20kHz = greater(worst.to20kHz, error, where)
      worst.drawn = greater(worst.drawn, Math.abs(levelsDb[i] - drawnDb[i]), where)
    })
  }
  return worst
}

function rowsOfBands(): Row[] {
  const low = RATES_HZ.map((rate) => measureBands(CENTRES_TO_8K, rate))
  const high = RATES_HZ.map((rate) => measureBands(CENTRES_TO_12K, rate))
  const both = [...low, ...high]
  const to8 = 'bells and shelves to 8 kHz, ±12 dB, Q 0.5 to 8, against the prototype'
  const to12 = 'the same at 10 and 12 kHz'
  return [
    rowOf(
      'F3',
      `${to8}, 20 Hz to 16 kHz`,
      LIMITS.sectionsTo8kHzDb,
      low.map((one) => one.to16kHz),
    ),
    rowOf(
      'F3',
      `${to12}, 20 Hz to 16 kHz`,
      LIMITS.sectionsTo12kHzDb,
      high.map((one) => one.to16kHz),
    ),
    rowOf(
      'F3',
      'all of them against the prototype, 16 to 20 kHz',
      LIMITS.sectionsTo20kHzDb,
      both.map((one) => one.to20kHz),
    ),
    rowOf(
      'F3',
      'drawn curve against the sounding one',
      LIMITS.drawnAgainstMeasuredDb,
      both.map((one) => one.drawn),
    ),
  ]
}

/** The two worked curves of the reference table, at its own frequencies. */
function rowOfTable(): Row {
  const { rows, source } = readReferenceTable('analog-eq-magnitude.csv')
  const bell: Band = { shape: 'bell', frequencyHz: 10_000, gainDb: 6, q: 1 }
  const shelf: Band = { shape: 'high-shelf', frequencyHz: 10_000, gainDb: 6, q: Math.SQRT1_2 }
  const readings = [
    { band: bell, column: 'peaking_plus6dB_10kHz_Q1_analog_dB' },
    { band: shelf, column: 'highshelf_plus6dB_10kHz_S1_analog_dB' },
  ].flatMap(({ band, column }) =>
    rows
      .filter((row) => Number(row.frequency_Hz) <= 16_000)
      .map((row): Reading => {
        const frequencyHz = Number(row.frequency_Hz)
        const { frequenciesHz, levelsDb } = measureResponse(
          [toneOf(band)],
          48_000,
          frequencyHz,
          frequencyHz * 1.0001,
          2,
        )
        // The nearest bin is up to 0.4 Hz away: the prototype says what that makes.
        const moved = prototypeBandDb(band, frequenciesHz[0]) - prototypeBandDb(band, frequencyHz)
        return {
          where: `${band.shape}, ${frequencyHz} Hz`,
          value: Math.abs(levelsDb[0] - moved - Number(row[column])),
        }
      }),
  )
  const limit = { ...LIMITS.sectionsTo12kHzDb, source: `figure F3; ${source.split(' evaluated')[0]}` }
  return rowOf('F3', '10 kHz bell and high shelf, +6 dB, at the frequencies of the table', limit, readings)
}

function rowOfLowCuts(): Row {
  const readings = RATES_HZ.flatMap((rate) =>
    ([12, 24] as const).flatMap((slopeDbPerOctave) =>
      [20, 80, 120, 400].map((frequencyHz): Reading => {
        const settings = { frequencyHz, slopeDbPerOctave }
        // From where the cut is 100 dB deep: under that an impulse is not answered in full.
        const fromHz = Math.max(20, frequencyHz / 10)
        const { frequenciesHz, levelsDb } = measureResponse(
          [{ kind: 'low-cut', settings }],
          rate,
          fromHz,
          16_000,
        )
        const errors = frequenciesHz.map((f, i) =>
          Math.abs(levelsDb[i] - butterworthHighPassDb(frequencyHz, slopeDbPerOctave / 6, f)),
        )
        const where = `${frequencyHz} Hz, ${slopeDbPerOctave} dB/octave, at ${rate / 1000} kHz`
        return { where, value: Math.max(...errors) }
      }),
    ),
  )
  return rowOf('F3', 'low-cuts against Butterworth, to 16 kHz', LIMITS.sectionsTo8kHzDb, readings)
}

function rowOfDrawnLowCut(): Row {
  const readings = RATES_HZ.map((rate): Reading => {
    const settings = { frequencyHz: 80, slopeDbPerOctave: 24 } as const
    const { frequenciesHz, levelsDb } = measureResponse([{ kind: 'low-cut', settings }], rate)
    const drawnDb = lowCutResponseDb(settings, frequenciesHz, rate)
    return {
      where: `${rate / 1000} kHz`,
      value: Math.max(...levelsDb.map((level, i) => Math.abs(level - drawnDb[i]))),
    }
  })
  return rowOf('F3', 'drawn low-cut against the sounding one', LIMITS.drawnAgainstMeasuredDb, readings)
}

const SWEEP_SECONDS = 0.5
const SWEPT: readonly Omit<Band, 'frequencyHz'>[] = [
  { shape: 'bell', gainDb: 12, q: 4 },
  { shape: 'low-shelf', gainDb: 12, q: 1 },
  { shape: 'high-shelf', gainDb: 12, q: 1 },
]

/**
 * A sine while the band's frequency runs from 20 Hz to 20 kHz and a new stage takes over the
 * old one's memory at every step, as the engine does when a setting has changed.
 */
function sweptOutput(band: Omit<Band, 'frequencyHz'>, toneHz: number, stepFrames: number): Float64Array {
  const sampleRateHz = 48_000
  const frames = SWEEP_SECONDS * sampleRateHz
  const output = tone(frames, sampleRateHz, toneHz, 1)
  let memory: Float64Array[] | undefined
  for (let from = 0; from < frames; from += stepFrames) {
    const frequencyHz = 20 * 1000 ** (from / frames)
    const stage = createStage(toneOf({ ...band, frequencyHz }), { sampleRateHz, laneChannels: [1] })
    if (memory !== undefined) restoreMemory(stage, memory)
    const block = output.subarray(from, from + stepFrames)
    stage.process([[block]], block.length)
    memory = saveMemory(stage)
  }
  return output
}

function rowOfMotion(): Row {
  const readings = SWEPT.flatMap((band) =>
    [64, 512].flatMap((stepFrames) =>
      [60, 300, 1000, 5000, 12_000].map((toneHz): Reading => {
        // The static maximum of a band over all its places is its gain, where it is a boost.
        const ratio = greatestOf(sweptOutput(band, toneHz, stepFrames)) / 10 ** (band.gainDb / 20)
        return {
          where: `${band.shape}, sine of ${toneHz} Hz, a step every ${stepFrames} samples`,
          value: ratio,
        }
      }),
    ),
  )
  return rowOf(
    'F3',
    'sweep 20 Hz to 20 kHz in 0.5 s on sines: output over the static maximum',
    LIMITS.motionOverStatic,
    readings,
  )
}

function responsePlot(): Plot {
  const bands: Band[] = [
    { shape: 'bell', frequencyHz: 3150, gainDb: 9, q: 1 },
    { shape: 'bell', frequencyHz: 12_000, gainDb: -9, q: 1.5 },
    { shape: 'high-shelf', frequencyHz: 8000, gainDb: 6, q: Math.SQRT1_2 },
    { shape: 'low-shelf', frequencyHz: 150, gainDb: -6, q: Math.SQRT1_2 },
  ]
  const colours = ['accent', 'sand', 'green', 'slate'] as const
  return {
    title: 'Sections against the analogue curve',
    caption: 'Measured on an impulse at 44.1 kHz, the prototypes dashed.',
    x: LOG_HZ,
    y: evenAxis('level, dB', -12, 12, 3),
    curves: bands.flatMap((band, i) => {
      const { frequenciesHz, levelsDb } = measureResponse([toneOf(band)], 44_100)
      const name = `${band.shape} ${band.frequencyHz} Hz`
      return [
        { name, xs: frequenciesHz, ys: levelsDb, kind: 'line' as const, colour: colours[i] },
        {
          name: 'prototype',
          xs: frequenciesHz,
          ys: frequenciesHz.map((f) => prototypeBandDb(band, f)),
          kind: 'dashed' as const,
          colour: 'ink' as const,
        },
      ]
    }),
  }
}

function errorPlot(): Plot {
  const of = (band: Band, rate: number) => {
    const { frequenciesHz, levelsDb } = measureResponse([toneOf(band)], rate)
    return { xs: frequenciesHz, ys: frequenciesHz.map((f, i) => levelsDb[i] - prototypeBandDb(band, f)) }
  }
  const bell = (frequencyHz: number): Band => ({ shape: 'bell', frequencyHz, gainDb: 12, q: 1 })
  return {
    title: 'What is left of the squeeze toward half the rate',
    caption:
      'Measured less prototype, bells of +12 dB at Q 1. The limits are 0.1 dB to 16 kHz (to 8 kHz), 0.3 dB (to 12 kHz) and 0.5 dB to 20 kHz.',
    x: { ...LOG_HZ, from: 500, marks: [500, 1000, 2000, 5000, 10_000, 20_000] },
    y: evenAxis('error, dB', -0.5, 0.5, 0.1),
    curves: [
      { name: '8 kHz at 44.1', ...of(bell(8000), 44_100), kind: 'line', colour: 'accent' },
      { name: '8 kHz at 48', ...of(bell(8000), 48_000), kind: 'line', colour: 'sand' },
      { name: '12 kHz at 44.1', ...of(bell(12_000), 44_100), kind: 'line', colour: 'green' },
      { name: '12 kHz at 48', ...of(bell(12_000), 48_000), kind: 'line', colour: 'slate' },
    ],
  }
}

function motionPlot(): Plot {
  const output = sweptOutput(SWEPT[0], 1000, 64)
  return {
    title: 'A bell swept over a sine',
    caption:
      'Bell of +12 dB, Q 4, from 20 Hz to 20 kHz in 0.5 s over a 1 kHz sine of amplitude 1; dashed, twice the static maximum.',
    x: evenAxis('time, s', 0, SWEEP_SECONDS, 0.1),
    y: evenAxis('sample', -9, 9, 3),
    curves: [
      { name: 'output', xs: output.map((_, n) => n / 48_000), ys: output, kind: 'line', colour: 'accent' },
      ...[1, -1].map((sign) => ({
        name: 'limit',
        xs: [0, SWEEP_SECONDS],
        ys: [sign * 2 * 10 ** (12 / 20), sign * 2 * 10 ** (12 / 20)],
        kind: 'dashed' as const,
        colour: 'failure' as const,
      })),
    ],
  }
}

export function measureEqualiser(): Figure {
  return {
    id: 'F3',
    title: 'Tone and low-cut',
    rows: [...rowsOfBands(), rowOfTable(), rowOfLowCuts(), rowOfDrawnLowCut(), rowOfMotion()],
    plots: [responsePlot(), errorPlot(), motionPlot()],
  }
}
