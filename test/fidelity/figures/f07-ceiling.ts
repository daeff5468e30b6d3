// F7: the ceiling on hostile signals, sample by sample in the stage and between the samples
// in real bounces, and that it leaves alone what stays under it.

import type { ChainStages } from '../../../app/contract/chain-document.ts'
import type { CeilingSettings } from '../../../app/dsp/stages/settings.ts'
import { hissedLine } from '../../signals/fricatives.ts'
import { hostileSignals } from '../../signals/hostile.ts'
import { oversampledPeak } from '../../signals/oversampled-peak.ts'
import { type BouncedStem, type BounceShop, withBounceShop } from '../bounce-shop.ts'
import { LIMITS } from '../limits.ts'
import { evenAxis, type Plot } from '../plot.ts'
import {
  db,
  differingSamples,
  type Figure,
  greatestOf,
  missingRow,
  type Reading,
  type Row,
  rowOf,
} from '../rows.ts'
import { runMono } from '../run-stage.ts'
import { haveSpeech, SPEECH_MISSING, speech } from '../speech.ts'

const CEILING_DBTP = -1
const CEILING = 10 ** (CEILING_DBTP / 20)
const SETTINGS: CeilingSettings = { ceilingDbtp: CEILING_DBTP, lookAheadMs: 2, releaseMs: 80 }
const STAGES: ChainStages = [{ kind: 'ceiling', on: true, settings: SETTINGS }]
const FRAMES = 24_000

const limited = (samples: Float64Array, settings: Partial<CeilingSettings> = {}, rate = 48_000) =>
  runMono([{ kind: 'ceiling', settings: { ...SETTINGS, ...settings } }], samples, rate)

const overDb = (peak: number) => db(peak / CEILING)

function rowOfSamples(): Row {
  const readings = [5, 6, 7].flatMap((seed) =>
    Object.entries(hostileSignals(12_000, seed)).map(([name, samples]): Reading => {
      let greatest = 0
      for (const lookAheadMs of [1.5, 2, 5]) {
        for (const releaseMs of [10, 80, 1000]) {
          const output = limited(samples, { lookAheadMs, releaseMs })
          greatest = Math.max(greatest, greatestOf(output), greatestOf(new Float32Array(output)))
        }
      }
      return { where: `${name}, seed ${seed}: three look-aheads, three releases`, value: overDb(greatest) }
    }),
  )
  const rates = [8000, 44_100, 96_000, 192_000].map((rate): Reading => {
    const peaks = Object.values(hostileSignals(8000, 8)).map((samples) =>
      greatestOf(limited(samples, {}, rate)),
    )
    return { where: `all of them at ${rate / 1000} kHz`, value: overDb(Math.max(...peaks)) }
  })
  return rowOf(
    'F7',
    'greatest sample of hostile signals, in doubles and 32-bit floats',
    LIMITS.sampleCeiling,
    [...readings, ...rates],
  )
}

/** Voices that the ceiling has to work on, loud as a driven chain hands them over. */
function voices(): Record<string, Float64Array> {
  return {
    'generated line, 6 dB over': hissedLine(6, 48_000, 3, { vowelPeak: 2 * CEILING, hissRms: 0.3 }).samples,
    'generated line, 15 dB over': hissedLine(6, 48_000, 4, { vowelPeak: 5.6 * CEILING, hissRms: 0.8 })
      .samples,
    'high voice, 10 dB over': hissedLine(6, 48_000, 5, { vowelPeak: 3.2, hissRms: 1, pitchHz: 400 }).samples,
    ...(haveSpeech ? { 'real speech, 12 dB over': scaledTo(speech(), 4 * CEILING) } : {}),
  }
}

function scaledTo(samples: Float64Array, peak: number): Float64Array {
  const gain = peak / greatestOf(samples)
  return samples.map((x) => x * gain)
}

function bounceAlone(
  shop: BounceShop,
  sounds: Record<string, Float64Array>,
  encoding: 'pcm-24' | 'float-32',
) {
  return shop.bounce({
    // Stereo, since a group of mono layers leaves its chain 3 dB softer, out of the ceiling's sight.
    sounds: Object.entries(sounds).map(([name, samples]) => ({ name, channels: [samples, samples] })),
    stages: STAGES,
    encoding,
  })
}

/** Steady tones and bursts of them at full scale, up to where the second look is flat. */
function highTones(): Record<string, Float64Array> {
  return Object.fromEntries(
    [0.4, 0.447, 0.48, 0.49, 0.495].flatMap((share) =>
      ['tone', 'bursts'].map((kind) => [
        `${kind} at ${share} of the rate`,
        Float64Array.from({ length: FRAMES }, (_, n) =>
          kind === 'tone' || n % 6000 < 3000 ? Math.sin(2 * Math.PI * share * n + 0.3) : 0,
        ),
      ]),
    ),
  )
}

const truePeakOver = ({ name, channels, stem }: BouncedStem): Reading => ({
  where: `${name}, trim ${stem.ceilingTrimDb} dB`,
  value: overDb(oversampledPeak(channels[0])),
})

const samplePeakOver = ({ name, channels }: BouncedStem): Reading => ({
  where: name,
  value: overDb(greatestOf(channels[0])),
})

async function rowsOfBounces(shop: BounceShop): Promise<{ rows: Row[]; plot: Plot }> {
  const hostile = hostileSignals(FRAMES, 11)
  const any = await bounceAlone(shop, hostile, 'float-32')
  const words = await bounceAlone(shop, hostile, 'pcm-24')
  const high = await bounceAlone(shop, highTones(), 'float-32')
  const voice = await bounceAlone(shop, voices(), 'float-32')
  const speechRow = haveSpeech
    ? []
    : [missingRow('F7', 'bounced speech: true peak by 16 times', LIMITS.voiceTruePeakDb, SPEECH_MISSING)]

  const noises = [21, 22, 23].map((seed) => hostileSignals(FRAMES, seed)['full-scale even noise'])
  const shared = await shop.bounce({
    sounds: noises.map((samples, k) => ({ name: `Noise ${k + 1}`, channels: [samples, samples] })),
    stages: STAGES,
    sharing: 'shared',
  })
  const sum = shared.stems[0].channels[0].map((_, n) =>
    shared.stems.reduce((total, { channels }) => total + channels[0][n], 0),
  )

  const names = any.stems.map(({ name }) => name)
  const once = names.map((name) => overDb(oversampledPeak(limited(hostile[name]))))
  const places = names.map((_, i) => i + 1)
  return {
    rows: [
      rowOf(
        'F7',
        'bounced voices: true peak by ideal interpolation, 16 times',
        LIMITS.voiceTruePeakDb,
        voice.stems.map(truePeakOver),
      ),
      ...speechRow,
      rowOf(
        'F7',
        'bounced hostile signals: true peak by ideal interpolation, 16 times',
        LIMITS.anyTruePeakDb,
        any.stems.map(truePeakOver),
      ),
      rowOf(
        'F7',
        'bounced tones and bursts to 0.495 of the rate: the same',
        LIMITS.anyTruePeakDb,
        high.stems.map(truePeakOver),
      ),
      rowOf(
        'F7',
        'three groups of noise behind one shared ceiling: true peak of the stems’ sum',
        LIMITS.anyTruePeakDb,
        [{ where: `trim ${shared.stems[0].stem.ceilingTrimDb} dB`, value: overDb(oversampledPeak(sum)) }],
      ),
      rowOf(
        'F7',
        'greatest sample of bounces in 32-bit float',
        LIMITS.sampleCeiling,
        [...any.stems, ...voice.stems].map(samplePeakOver),
      ),
      rowOf(
        'F7',
        'greatest sample of bounces in 24 bits, dithered',
        LIMITS.sampleCeiling,
        words.stems.map(samplePeakOver),
      ),
      rowOf(
        'F7',
        'stems that come out otherwise when verified',
        { ...LIMITS.differingSamples, unit: 'stems' },
        [{ where: 'hostile signals', value: await any.differing() }],
      ),
    ],
    plot: {
      title: 'True peaks of hostile signals over the ceiling',
      caption: `By ideal interpolation, 16 times. ${names.map((name, i) => `${i + 1} ${name}`).join('; ')}.`,
      x: evenAxis('signal', 0, names.length + 1, 1),
      y: evenAxis('dB over the ceiling', -0.4, 1.2, 0.2),
      curves: [
        { name: 'the stage alone', xs: places, ys: once, kind: 'points', colour: 'soft' },
        {
          name: 'in a bounce',
          xs: places,
          ys: any.stems.map((stem) => truePeakOver(stem).value),
          kind: 'points',
          colour: 'accent',
        },
        { name: 'limit', xs: [0, names.length + 1], ys: [0.3, 0.3], kind: 'dashed', colour: 'failure' },
      ],
    },
  }
}

function rowOfTransparency(): Row {
  const line = hissedLine(4, 48_000, 3, { vowelPeak: 0.8, hissRms: 0.1 }).samples
  const sounds: Record<string, Float64Array> = { 'generated line': line }
  if (haveSpeech) sounds['real speech'] = scaledTo(speech(), 0.85)
  return rowOf(
    'F7',
    'under the ceiling: samples that differ from the input',
    LIMITS.differingSamples,
    Object.entries(sounds).map(([where, samples]) => ({
      where,
      value: differingSamples(limited(samples), samples),
    })),
  )
}

function gainPlot(): Plot {
  const rate = 48_000
  const input = new Float64Array(0.3 * rate)
  for (let n = 0; n < input.length; n++) {
    const loud = n > 0.05 * rate && n < 0.07 * rate ? 2.5 : 0.5
    input[n] = loud * Math.sin((2 * Math.PI * 200 * n) / rate)
  }
  const output = limited(input)
  const xs = input.map((_, n) => (1000 * n) / rate)
  return {
    title: 'A burst over the ceiling',
    caption: '200 Hz at −6 dBFS, 20 ms of it 14 dB louder; ceiling −1 dBTP, look-ahead 2 ms, release 80 ms.',
    x: evenAxis('time, ms', 0, 300, 50),
    y: evenAxis('sample', -3, 3, 1),
    curves: [
      { name: 'input', xs, ys: input, kind: 'line', colour: 'soft' },
      { name: 'output', xs, ys: output, kind: 'line', colour: 'accent' },
      ...[CEILING, -CEILING].map((y) => ({
        name: 'ceiling',
        xs: [0, 300],
        ys: [y, y],
        kind: 'dashed' as const,
        colour: 'failure' as const,
      })),
    ],
  }
}

export async function measureCeiling(): Promise<Figure> {
  const { rows, plot } = await withBounceShop(rowsOfBounces)
  return {
    id: 'F7',
    title: 'Ceiling',
    rows: [rowOfSamples(), ...rows, rowOfTransparency()],
    plots: [plot, gainPlot()],
  }
}
