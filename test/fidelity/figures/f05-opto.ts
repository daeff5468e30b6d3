// F5: static curve, times, the release that remembers, distortion, and what stays untouched.

import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { OptoSettings, StageSetup } from '../../../app/dsp/stages/settings.ts'
import { sineAmplitude } from '../../signals/spectra.ts'
import { type ToneSegment, tone, toneSequence } from '../../signals/tones.ts'
import { LIMITS } from '../limits.ts'
import { evenAxis, type Plot } from '../plot.ts'
import { readReferenceTable } from '../reference-table.ts'
import { db, differingSamples, type Figure, type Reading, type Row, rowOf } from '../rows.ts'
import { reductionUnder, runMono } from '../run-stage.ts'

const FS = 48_000
/** The settings of the reference table: T -20, R 4, W 6. */
const TABLE: OptoSettings = {
  thresholdDbfs: -20,
  ratio: 4,
  kneeDb: 6,
  attackMs: 10,
  releaseMs: 60,
  recoverySeconds: 3,
  makeUpDb: 0,
}
/** The settings the targets for the release speak of. */
const MEMORY = { ratio: 3, kneeDb: 10, recoverySeconds: 5 }

const optoOf = (settings: Partial<OptoSettings>): StageSetup => ({
  kind: 'opto',
  settings: { ...TABLE, ...settings },
})

function steadyOutputDb(inputDb: number, frequencyHz: number, settings: Partial<OptoSettings> = {}): number {
  const output = runMono([optoOf(settings)], tone(2 * FS, FS, frequencyHz, 10 ** (inputDb / 20)))
  return db(sineAmplitude(output.subarray(FS), frequencyHz, FS))
}

/** JAES 60(6), 2012, eq. 4. */
function formulaDb(inputDb: number, { thresholdDbfs: t, ratio: r, kneeDb: w }: OptoSettings): number {
  const over = inputDb - t
  if (2 * over < -w) return inputDb
  if (2 * Math.abs(over) <= w) return inputDb + ((1 / r - 1) * (over + w / 2) ** 2) / (2 * w)
  return t + over / r
}

function rowsOfStaticCurve(): Row[] {
  const { rows } = readReferenceTable('soft-knee-static-curve.csv')
  const table = rows.map(
    (row): Reading => ({
      where: `${row.input_dB} dBFS`,
      value: Math.abs(steadyOutputDb(Number(row.input_dB), 1000) - Number(row.output_dB)),
    }),
  )
  const others = [
    { ...TABLE, thresholdDbfs: -30, ratio: 2, kneeDb: 20 },
    { ...TABLE, thresholdDbfs: -24, ratio: 10, kneeDb: 0 },
    { ...TABLE, thresholdDbfs: -12, ratio: 3, kneeDb: 10 },
  ].flatMap((settings) =>
    [-36, -26, -18, -12, -6, 0].flatMap((inputDb) =>
      [300, 1000, 8000].map((frequencyHz): Reading => {
        const { thresholdDbfs, ratio, kneeDb } = settings
        return {
          where: `T ${thresholdDbfs}, R ${ratio}, W ${kneeDb}: ${inputDb} dBFS at ${frequencyHz} Hz`,
          value: Math.abs(steadyOutputDb(inputDb, frequencyHz, settings) - formulaDb(inputDb, settings)),
        }
      }),
    ),
  )
  return [
    rowOf('F5', 'static curve, 1 kHz, T −20, R 4, W 6, against the table', LIMITS.staticCurveDb, table),
    rowOf(
      'F5',
      'static curve, other settings and frequencies, against the formula',
      LIMITS.staticCurveDb,
      others,
    ),
  ]
}

/** Reduction in dB at every sample of a tone, read where the tone is away from zero. */
function reductionOf(segments: ToneSegment[], settings: Partial<OptoSettings>): Float64Array {
  const input = toneSequence(segments, FS, 997)
  const output = runMono([optoOf(settings)], input)
  let last = 0
  return input.map((x, n) => {
    if (Math.abs(x) > 1e-6) last = -db(Math.abs(output[n] / x))
    return last
  })
}

const secondsUntil = (values: Float64Array, from: number, claim: (value: number) => boolean) =>
  (values.findIndex((value, n) => n >= from && claim(value)) - from) / FS

const silent: ToneSegment = { seconds: 0.5, peakDbfs: -Infinity }

function attackMs(settings: Partial<OptoSettings>): number {
  const reduction = reductionOf([silent, { seconds: 1.5, peakDbfs: -8 }], { kneeDb: 0, ...settings })
  return 1000 * secondsUntil(reduction, FS / 2, (value) => value >= 9 * (1 - Math.exp(-1)))
}

function attackMsAt(rateHz: number, asked: number): number {
  const input = toneSequence([silent, { seconds: 0.1, peakDbfs: -8 }], rateHz, 997)
  const reduction = reductionUnder(optoOf({ kneeDb: 0, attackMs: asked }), input, rateHz)
  const reached = reduction.findIndex((value) => value >= 9 * (1 - Math.exp(-1)))
  return (1000 * (reached - rateHz / 2)) / rateHz
}

/** Time constant of the first half's fall, by differences, so that what the slow half holds falls out. */
function releaseMs(asked: number): number {
  const reduction = reductionOf(
    [
      { seconds: 0.01, peakDbfs: -6 },
      { seconds: 1, peakDbfs: -60 },
    ],
    { attackMs: 1, releaseMs: asked, recoverySeconds: 5 },
  )
  const [first, second, third] = [0, 1, 2].map(
    (k) => reduction[Math.round((FS / 1000) * (25 + (k * asked) / 2))],
  )
  return asked / 2 / Math.log((first - second) / (second - third))
}

function rowsOfTimes(): Row[] {
  const offPercent = (measured: number, asked: number) => 100 * (measured / asked - 1)
  const attacks = [3, 10, 20, 50, 100].map((asked) => ({
    where: `${asked} ms`,
    value: offPercent(attackMs({ attackMs: asked }), asked),
  }))
  for (const rateHz of [44_100, 96_000, 192_000]) {
    attacks.push({ where: `10 ms at ${rateHz} Hz`, value: offPercent(attackMsAt(rateHz, 10), 10) })
  }
  const releases = [40, 60, 100, 200].map((asked) => ({
    where: `${asked} ms`,
    value: offPercent(releaseMs(asked), asked),
  }))
  return [
    rowOf(
      'F5',
      'attack: 63.2 % of the reduction of a tone 12 dB over, off by',
      LIMITS.optoTimesPercent,
      attacks,
    ),
    rowOf('F5', 'release: time constant of the first half, off by', LIMITS.optoTimesPercent, releases),
  ]
}

function afterBurst(burstSeconds: number) {
  const reduction = reductionOf(
    [
      { seconds: burstSeconds, peakDbfs: -6 },
      { seconds: 9, peakDbfs: -60 },
    ],
    MEMORY,
  )
  const end = Math.round(burstSeconds * FS)
  const top = reduction[end - 1]
  const until = (share: number) => secondsUntil(reduction, end, (value) => value <= top * (1 - share))
  let rise = 0
  for (let n = end + FS / 20; n < reduction.length; n++)
    rise = Math.max(rise, reduction[n] - reduction[n - 1])
  return { reduction: reduction.subarray(end), top, half: until(0.5), most: until(0.9), rise }
}

const BURSTS_SECONDS = [0.05, 0.2, 1, 5]

function rowsOfRelease(): Row[] {
  const bursts = BURSTS_SECONDS.map((seconds) => ({ seconds, ...afterBurst(seconds) }))
  const [, short, , long] = bursts
  const settings = 'R 3, W 10, release 60 ms, recovery 5 s'
  return [
    rowOf(
      'F5',
      `half of the release (${settings})`,
      LIMITS.halfReleaseMs,
      bursts.map(({ seconds, half }) => ({ where: `after ${seconds} s`, value: 1000 * half })),
    ),
    rowOf('F5', 'nine tenths of the release after a 0.2 s burst', LIMITS.shortReleaseSeconds, [
      { where: `from ${short.top.toFixed(1)} dB`, value: short.most },
    ]),
    rowOf('F5', 'nine tenths of the release after a 5 s burst', LIMITS.longReleaseSeconds, [
      { where: `from ${long.top.toFixed(1)} dB`, value: long.most },
    ]),
    rowOf('F5', 'how much slower after 5 s than after 0.2 s', LIMITS.memoryRatio, [
      {
        where: `${long.most.toFixed(2)} s against ${short.most.toFixed(2)} s`,
        value: long.most / short.most,
      },
    ]),
    rowOf(
      'F5',
      'greatest rise on the way back',
      { ...LIMITS.staticCurveDb, high: 1e-6, source: 'target beside figure F5: monotone' },
      [{ where: 'after every burst', value: Math.max(...bursts.map(({ rise }) => rise)) }],
    ),
  ]
}

function rowOfDistortion(): Row {
  const readings = [1, 3, 10, 30].map((attack): Reading => {
    const output = runMono(
      [optoOf({ thresholdDbfs: -39.3, attackMs: attack })],
      tone(4 * FS, FS, 100, 10 ** (-12 / 20)),
    )
    const late = output.subarray(2 * FS)
    const fundamental = sineAmplitude(late, 100, FS)
    let power = 0
    for (let harmonic = 2; harmonic <= 20; harmonic++) power += sineAmplitude(late, 100 * harmonic, FS) ** 2
    const taken = -12 - db(fundamental)
    return {
      where: `attack ${attack} ms, ${taken.toFixed(2)} dB taken`,
      value: (100 * Math.sqrt(power)) / fundamental,
    }
  })
  const limit = {
    ...LIMITS.optoThdPercent,
    source: `${LIMITS.optoThdPercent.source}; harmonics re fundamental, IEC 60268-3`,
  }
  return rowOf('F5', 'distortion of 100 Hz at 6 dB of reduction', limit, readings)
}

/** Steps up over the corners of the settings, against eq. 4 of JAES 60(6), 2012. */
function rowOfOvershoot(): Row {
  const readings: Reading[] = []
  for (const attack of [1, 10, 200])
    for (const release of [20, 500])
      for (const recoverySeconds of [0.5, 5])
        for (const ratio of [1.5, 4, 20])
          for (const [kneeDb, frequencyHz] of [
            [0, 150],
            [0, 300],
            [24, 1000],
          ]) {
            const settings = {
              ...TABLE,
              ...{ thresholdDbfs: -40, kneeDb, ratio, attackMs: attack, releaseMs: release, recoverySeconds },
            }
            const reduction = reductionUnder(optoOf(settings), tone(FS, FS, frequencyHz, 10 ** (-10 / 20)))
            const most = reduction.reduce((a, b) => Math.max(a, b))
            const where = `attack ${attack}, release ${release}, recovery ${recoverySeconds}, ${ratio}:1, ${frequencyHz} Hz`
            readings.push({ where, value: most - (-10 - formulaDb(-10, settings)) })
          }
  // What is no step: levels that alternate, at other rates too.
  for (const rateHz of [44_100, 96_000, 192_000])
    for (const seconds of [0.01, 0.1]) {
      const settings = { ...TABLE, thresholdDbfs: -40, kneeDb: 0, ratio: 20, attackMs: 1, releaseMs: 500 }
      const levels = Array.from({ length: Math.round(0.6 / seconds) }, (_, n) => -10 - 20 * (n % 2))
      const input = toneSequence(
        levels.map((peakDbfs) => ({ seconds, peakDbfs })),
        rateHz,
      )
      const most = reductionUnder(optoOf(settings), input, rateHz).reduce((a, b) => Math.max(a, b))
      readings.push({
        where: `every ${seconds} s 20 dB up or down, ${rateHz} Hz`,
        value: most - (-10 - formulaDb(-10, settings)),
      })
    }
  return rowOf('F5', 'past the static curve, all corners of the settings', LIMITS.optoPastCurveDb, readings)
}

/** How much less than it is a fundamental reads, from the reduction of a hard knee. */
function rowOfFundamentals(): Row {
  const readings = [120, 140, 160, 200, 250].map((hz) => {
    const settings = { thresholdDbfs: -40, kneeDb: 0, ratio: 20 }
    const taken = reductionUnder(optoOf(settings), tone(FS, FS, hz, 10 ** (-16 / 20)))[FS - 1]
    return { where: `${hz} Hz`, value: 24 - taken / (1 - 1 / settings.ratio) }
  })
  return rowOf('F5', 'a fundamental reads less than it is by', LIMITS.fundamentalLessDb, readings)
}

function rowOfThump(): Row {
  const frames = 0.15 * FS
  const readings = [60, 80, 100].map((hz) => {
    const thump = tone(frames, FS, hz, 10 ** (-3 / 20)).map(
      (x, n) => x * Math.sin((Math.PI * n) / frames) ** 2,
    )
    const reduction = reductionUnder(optoOf({ thresholdDbfs: -23, kneeDb: 10 }), thump)
    return { where: `${hz} Hz`, value: reduction.reduce((a, b) => Math.max(a, b)) }
  })
  return rowOf('F5', 'taken by a thump 20 dB over the threshold', LIMITS.thumpDb, readings)
}

const EXPANDER: StageSetup = defaultStages.expander

function rowsOfExpander(): Row[] {
  const pauses = [15, 25, 40].map((hz) => ({
    where: `${hz} Hz at −50 dBFS`,
    value: reductionUnder(EXPANDER, tone(2 * FS, FS, hz, 10 ** (-50 / 20)))[2 * FS - 1],
  }))
  const words = [1, 3, 12, 30].map((over) => {
    const word = toneSequence([silent, { seconds: 0.5, peakDbfs: -50 + over }], FS)
    const reduction = reductionUnder(EXPANDER, word).subarray(FS / 2, FS / 2 + 720)
    return { where: `${over} dB over`, value: reduction.reduce((a, b) => Math.max(a, b)) }
  })
  // As a word that begins with b, d or g does: its fundamental alone.
  const voiced = [80, 100, 120].map((hz) => {
    const word = toneSequence([silent, { seconds: 0.5, peakDbfs: -49 }], FS, hz)
    const settings = { ...defaultStages.expander.settings, ratio: 10, rangeDb: 30 }
    const reduction = reductionUnder({ kind: 'expander', settings }, word).subarray(FS / 2, FS / 2 + 720)
    return { where: `${hz} Hz, 1 dB over`, value: reduction.reduce((a, b) => Math.max(a, b)) }
  })
  return [
    rowOf('F5', 'expander: taken off the first 15 ms of a fundamental', LIMITS.wordLossDb, voiced),
    rowOf('F5', 'expander: taken off a pause with rumble in it', LIMITS.pauseKeptDb, pauses),
    rowOf('F5', 'expander: taken off the first 15 ms of a tone', LIMITS.wordLossDb, words),
  ]
}

function rowOfUntouched(): Row {
  const readings = [100, 440, 5000].map((frequencyHz) => {
    const input = tone(FS, FS, frequencyHz, 10 ** (-23.1 / 20))
    return {
      where: `${frequencyHz} Hz at −23.1 dBFS`,
      value: differingSamples(runMono([optoOf({})], input), input),
    }
  })
  return rowOf('F5', 'below the knee: samples that differ from the input', LIMITS.differingSamples, readings)
}

function staticPlot(): Plot {
  const inputs = Array.from({ length: 41 }, (_, i) => i - 40)
  const settings = defaultStages.opto.settings
  return {
    title: 'Static curve',
    caption: 'A 1 kHz sine held for a second, against eq. 4 of JAES 60(6), 2012.',
    x: evenAxis('level in, dBFS', -40, 0, 10),
    y: evenAxis('level out, dBFS', -40, 0, 10),
    curves: [
      {
        name: 'T −20, R 4, W 6',
        xs: inputs,
        ys: inputs.map((x) => steadyOutputDb(x, 1000)),
        kind: 'points',
        colour: 'accent',
      },
      {
        name: 'formula',
        xs: inputs,
        ys: inputs.map((x) => formulaDb(x, TABLE)),
        kind: 'line',
        colour: 'ink',
      },
      {
        name: 'a fresh stage',
        xs: inputs,
        ys: inputs.map((x) => steadyOutputDb(x, 1000, settings)),
        kind: 'points',
        colour: 'sand',
      },
      {
        name: 'formula',
        xs: inputs,
        ys: inputs.map((x) => formulaDb(x, settings)),
        kind: 'line',
        colour: 'soft',
      },
    ],
  }
}

function releasePlot(): Plot {
  const colours = ['slate', 'sand', 'green', 'accent'] as const
  return {
    title: 'The release that remembers',
    caption:
      'Reduction after bursts of a tone 14 dB over the threshold; R 3, W 10, release 60 ms, recovery 5 s.',
    x: evenAxis('time after the burst, s', 0, 5, 1),
    y: evenAxis('reduction, dB', 0, 10, 2),
    curves: BURSTS_SECONDS.map((seconds, i) => {
      const { reduction } = afterBurst(seconds)
      const every = Array.from({ length: 500 }, (_, k) => k * 480)
      return {
        name: `after ${seconds} s`,
        xs: every.map((n) => n / FS),
        ys: every.map((n) => reduction[n]),
        kind: 'line' as const,
        colour: colours[i],
      }
    }),
  }
}

function attackPlot(): Plot {
  const every = Array.from({ length: 400 }, (_, k) => FS / 2 + 24 * k)
  const of = (asked: number) =>
    reductionOf([silent, { seconds: 1.5, peakDbfs: -8 }], { kneeDb: 0, attackMs: asked })
  return {
    title: 'Attack',
    caption:
      'A tone that starts 12 dB over the threshold, R 4; dashed, 9 dB (1 − e^(−t / attack)) for 10 and 50 ms.',
    x: evenAxis('time, ms', 0, 200, 50),
    y: evenAxis('reduction, dB', 0, 10, 2),
    curves: (
      [
        [10, 'accent'],
        [50, 'sand'],
      ] as const
    ).flatMap(([asked, colour]) => {
      const reduction = of(asked)
      const xs = every.map((n) => (1000 * (n - FS / 2)) / FS)
      return [
        { name: `${asked} ms`, xs, ys: every.map((n) => reduction[n]), kind: 'line' as const, colour },
        {
          name: 'one pole',
          xs,
          ys: xs.map((ms) => 9 * (1 - Math.exp(-ms / asked))),
          kind: 'dashed' as const,
          colour: 'ink' as const,
        },
      ]
    }),
  }
}

export function measureOpto(): Figure {
  return {
    id: 'F5',
    title: 'Opto and expander',
    rows: [
      ...rowsOfStaticCurve(),
      ...rowsOfTimes(),
      ...rowsOfRelease(),
      rowOfDistortion(),
      rowOfOvershoot(),
      rowOfThump(),
      rowOfFundamentals(),
      rowOfUntouched(),
      ...rowsOfExpander(),
    ],
    plots: [staticPlot(), attackPlot(), releasePlot()],
  }
}
