// F8: sample-rate conversion in all directions: ripple of the pass band, images and aliases.

import { createRateConverter } from '../../../app/dsp/conversion/rate-conversion.ts'
import { impulse } from '../../signals/impulses.ts'
import { greatestLevelDb, responseLevelDb, sineAmplitude, spectrumOf } from '../../signals/spectra.ts'
import { tone } from '../../signals/tones.ts'
import { LIMITS } from '../limits.ts'
import { evenAxis, type Plot } from '../plot.ts'
import { db, type Figure, rowOf } from '../rows.ts'

const RATES_HZ = [44_100, 48_000, 88_200, 96_000]
const DIRECTIONS = RATES_HZ.flatMap((from) =>
  RATES_HZ.filter((to) => to !== from).map((to) => [from, to] as const),
)
const PASS_HZ = [60, 997, 5003, 10_007, 15_013, 18_013, 19_001, 20_000]
const MIDDLE = 16_384

const name = (fromHz: number, toHz: number) => `${fromHz / 1000} to ${toHz / 1000} kHz`

function convert(input: Float64Array, fromHz: number, toHz: number): Float64Array {
  const converter = createRateConverter(fromHz, toHz)
  const output = new Float64Array(converter.outputFrames(input.length))
  converter.convert(input, 0, output, 0, output.length)
  return output
}

/** The steady middle of a converted sine of amplitude 1. */
function convertedTone(frequencyHz: number, fromHz: number, toHz: number): Float64Array {
  const seconds = MIDDLE / toHz + 1200 / Math.min(fromHz, toHz)
  const output = convert(tone(Math.ceil(seconds * fromHz), fromHz, frequencyHz, 1), fromHz, toHz)
  const from = (output.length - MIDDLE) >> 1
  return output.subarray(from, from + MIDDLE)
}

function measureDirection([fromHz, toHz]: readonly [number, number]) {
  let rippleDb = 0
  let imagesDb = -Infinity
  for (const frequencyHz of PASS_HZ) {
    const output = convertedTone(frequencyHz, fromHz, toHz)
    rippleDb = Math.max(rippleDb, Math.abs(db(sineAmplitude(output, frequencyHz, toHz))))
    imagesDb = Math.max(imagesDb, greatestLevelDb(spectrumOf(output, toHz), [frequencyHz]))
  }
  // What the lower rate cannot carry, from right above half of it.
  let aliasesDb: number | null = null
  for (const share of toHz < fromHz ? [0.001, 0.02, 0.1, 0.3, 0.6, 0.95] : []) {
    const frequencyHz = toHz / 2 + (share * (fromHz - toHz)) / 2
    const level = greatestLevelDb(spectrumOf(convertedTone(frequencyHz, fromHz, toHz), toHz))
    aliasesDb = Math.max(aliasesDb ?? -Infinity, level)
  }
  return { where: name(fromHz, toHz), rippleDb, imagesDb, aliasesDb }
}

/** Response of the whole converter, from an impulse; the input's rate over the output's is its gain. */
function responseOf(fromHz: number, toHz: number, topHz: number, points: number) {
  const frames = 4096
  const output = convert(impulse(frames, frames / 2), fromHz, toHz)
  const xs = Array.from({ length: points }, (_, i) => ((i + 0.5) * topHz) / points)
  const scaleDb = db(fromHz / toHz)
  return { xs, ys: xs.map((f) => responseLevelDb(output, f, toHz) + scaleDb) }
}

const PLOTTED = [
  [44_100, 48_000, 'accent'],
  [48_000, 44_100, 'sand'],
  [88_200, 44_100, 'green'],
  [96_000, 48_000, 'failure'],
] as const

function passPlot(): Plot {
  return {
    title: 'Pass band of the converter',
    caption: 'What becomes of an impulse; the figure is 0.01 dB to 20 kHz.',
    x: evenAxis('frequency, Hz', 0, 24_000, 4000),
    y: evenAxis('level, dB', -0.01, 0.01, 0.005),
    curves: PLOTTED.map(([fromHz, toHz, colour]) => ({
      name: name(fromHz, toHz),
      ...responseOf(fromHz, toHz, Math.min(toHz, fromHz) / 2 - 1500, 240),
      kind: 'line',
      colour,
    })),
  }
}

/** How deep sines that the lower rate cannot carry are, as they fold. */
function stopPlot(): Plot {
  return {
    title: 'Stop band of the converter',
    caption:
      'Greatest alias that is left of a full-scale sine over its own frequency; the figure is −120 dB from half the lower rate up.',
    x: evenAxis('frequency of the sine, Hz', 20_000, 48_000, 4000),
    y: evenAxis('greatest output, dBFS', -200, 0, 40),
    curves: [
      ...PLOTTED.filter(([fromHz, toHz]) => toHz < fromHz).map(([fromHz, toHz, colour]) => {
        const xs = Array.from({ length: 24 }, (_, i) => 20_200 + ((fromHz / 2 - 20_400) * i) / 23)
        return {
          name: name(fromHz, toHz),
          xs,
          ys: xs.map((f) => greatestLevelDb(spectrumOf(convertedTone(f, fromHz, toHz), toHz))),
          kind: 'line' as const,
          colour,
        }
      }),
      { name: 'limit', xs: [22_050, 48_000], ys: [-120, -120], kind: 'dashed', colour: 'ink' },
    ],
  }
}

function imagePlot(): Plot {
  const { amplitudes, binHz } = spectrumOf(convertedTone(19_001, 44_100, 96_000), 96_000)
  return {
    title: 'A sine of 19 kHz from 44.1 to 96 kHz',
    caption: 'Its image would stand at 25.1 kHz.',
    x: evenAxis('frequency, Hz', 0, 48_000, 8000),
    y: evenAxis('level, dBFS', -200, 0, 40),
    curves: [
      {
        name: 'spectrum',
        xs: amplitudes.map((_, k) => k * binHz),
        ys: amplitudes.map(db),
        kind: 'line',
        colour: 'accent',
      },
      { name: 'limit', xs: [0, 48_000], ys: [-120, -120], kind: 'dashed', colour: 'failure' },
    ],
  }
}

export function measureConversion(): Figure {
  const measured = DIRECTIONS.map(measureDirection)
  return {
    id: 'F8',
    title: 'Sample-rate conversion',
    rows: [
      rowOf(
        'F8',
        'ripple to 20 kHz, all twelve directions',
        LIMITS.converterRippleDb,
        measured.map(({ where, rippleDb }) => ({ where, value: rippleDb })),
      ),
      rowOf(
        'F8',
        'images of sines to 20 kHz, all twelve directions',
        LIMITS.converterSpuriousDb,
        measured.map(({ where, imagesDb }) => ({ where, value: imagesDb })),
      ),
      rowOf(
        'F8',
        'aliases of sines above half the lower rate, all six ways down',
        LIMITS.converterSpuriousDb,
        measured.flatMap(({ where, aliasesDb }) => (aliasesDb === null ? [] : [{ where, value: aliasesDb }])),
      ),
    ],
    plots: [passPlot(), stopPlot(), imagePlot()],
  }
}
