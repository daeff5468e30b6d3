// T4: what builds up in a stack and through whom. Closed forms of sums of layers; a bell planted on one of six layers
// of recorded speech and of generated voices; what is heard of a lead under doubles; and what is predicted of a change
// against the signals summed with it.

import { thirdOctaveAt } from '../../../app/dsp/analysis/spectra/third-octaves.ts'
import { type BandBuildUp, buildUpOf } from '../../../app/dsp/stack/build-up.ts'
import { createGlimpseMeter, type GlimpsedSpan } from '../../../app/dsp/stack/glimpses.ts'
import { energyOf } from '../../../app/dsp/stack/gram.ts'
import { type CheckedStack, createStackCheck } from '../../../app/dsp/stack/stack-check.ts'
import type { StackFinding } from '../../../app/dsp/stack/stack-finding.ts'
import { gainsChangeDb } from '../../../app/dsp/stack/what-if.ts'
import { LEAD_DEVIATIONS, TIGHT_DOUBLE_DEVIATIONS } from '../../../app/dsp/voice/performance.ts'
import { renderVoice } from '../../../app/dsp/voice/render-voice.ts'
import { RAP_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { gramOf, layersOf, RATE, type TestLayer } from '../../dsp/stack/measured-stack.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { bandEnergy } from '../../signals/outside-spectrum.ts'
import { SPEECH_LEVELS_DB, scaled, speechLayers } from '../../signals/speech-stack.ts'
import { throughBand } from '../../signals/voice-takes.ts'
import { type Figure, limitOf, missingRow, type Reading, type Row, rowOf } from '../rows.ts'
import { haveSpeech, SPEECH_MISSING } from '../speech.ts'

const ID = 'T4'
const BAND_HZ = 3150
const PLANTED_HZ = 3000

const dbOf = (power: number): number => 10 * Math.log10(power)
const noise = (seed: number): Float64Array => whiteNoise(20 * RATE, seed)
const summed = (layers: readonly Float64Array[]): Float64Array =>
  layers[0].map((_, n) => layers.reduce((sum, one) => sum + one[n], 0))

/** The first layer leads; phrases of 1.5 s. */
function checkOf(layers: readonly Float64Array[]): CheckedStack {
  const described: TestLayer[] = layers.map((samples, k) => ({ samples, isLead: k === 0 }))
  const { length } = layers[0]
  const step = 1.5 * RATE
  const check = createStackCheck({
    sampleRateHz: RATE,
    layers: layersOf(described),
    spans: Array.from({ length: Math.floor(length / step) }, (_, i) => ({
      from: i * step,
      to: (i + 1) * step,
    })),
    known: [],
    startS: 0,
  })
  for (let at = 0; at < length; at += 1000) {
    const frames = Math.min(1000, length - at)
    check.add(
      layers.map((samples) => [samples.subarray(at, at + frames)]),
      frames,
    )
  }
  return check.finish(() => {})
}

/** Build-up and shares over the whole sound; the first layer leads. */
const bandsOf = (layers: readonly Float64Array[]): readonly BandBuildUp[] =>
  buildUpOf(
    gramOf(layers.map((samples) => ({ samples }))).sides,
    layers.map((_, k) => k === 0),
  )

function sungLayers(count: number): Float64Array[] {
  const takes = Array.from(
    { length: count },
    (_, k) =>
      renderVoice(
        SEVEN_STAIRS_VERSE,
        {
          singer: RAP_BARITONE,
          deviations: k === 0 ? LEAD_DEVIATIONS : TIGHT_DOUBLE_DEVIATIONS,
          effortDb: 0,
          peakDbfs: -7,
          popLevelDb: -6,
        },
        { sampleRateHz: RATE, seed: 7 + k },
      ).samples,
  )
  const frames = Math.min(...takes.map(({ length }) => length))
  return takes.map((samples) => {
    const rms = Math.sqrt(samples.reduce((sum, x) => sum + x * x, 0) / samples.length)
    return Float64Array.from(samples.subarray(0, frames), (x) => (0.1 * x) / rms)
  })
}

function closedForms(): Row[] {
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

/** dB shares against the mean over all orders, and gains against the signals summed with them. */
function predictions(): Row[] {
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

/** A bell on each of five layers in turn, 8 to 12 dB under the lead. */
interface Planted {
  readonly named: Reading[]
  readonly effect: Reading[]
  readonly truth: Reading[]
  readonly unasked: Reading[]
}

function planted(name: string, plain: readonly Float64Array[]): Planted {
  const [named, effect, truth]: Reading[][] = [[], [], []]
  for (const gainDb of [4, 8]) {
    for (let k = 1; k < plain.length; k++) {
      const where = `${name}, +${gainDb} dB on a layer at ${SPEECH_LEVELS_DB[k]} dB`
      const layers = plain.map((samples, i) =>
        scaled(i === k ? throughBand(samples, 'bell', PLANTED_HZ, gainDb, 2) : samples, SPEECH_LEVELS_DB[i]),
      )
      const { findings } = checkOf(layers)
      const [first] = findings.filter((one) => one.kind === 'harsh-build-up')
      named.push({ where, value: first?.layerIds[0] === k + 1 ? 100 : 0 })
      if (first === undefined) continue
      truth.push({ where, value: offTruth(first, layers) })
      const done = effectOf(first, layers)
      if (done !== null) effect.push({ where, value: done })
    }
  }
  const asTheyAre = plain.map((samples, i) => scaled(samples, SPEECH_LEVELS_DB[i]))
  const harsh = checkOf(asTheyAre).findings.filter(({ kind }) => kind === 'harsh-build-up')
  return { named, effect, truth, unasked: [{ where: name, value: harsh.length }] }
}

/** What of the sound checkOf measures. */
const inSpans = (samples: Float64Array): Float64Array =>
  samples.subarray(0, Math.floor(samples.length / (1.5 * RATE)) * 1.5 * RATE)

/** What leaving out the named layer changes, as the finding says, less what it changes in whole spectra of another library. */
function offTruth(finding: StackFinding, layers: readonly Float64Array[]): number {
  if (finding.kind !== 'harsh-build-up') return Number.NaN
  const kept = layers.map(inSpans)
  const { hz, leaveOneOutDb } = finding.evidence
  const without = kept.filter((_, k) => k + 1 !== finding.layerIds[0])
  return leaveOneOutDb - dbOf(bandEnergy(summed(kept), RATE, hz) / bandEnergy(summed(without), RATE, hz))
}

/** The predicted effect of the suggested bell less that of the stack summed with it. */
function effectOf(finding: StackFinding, layers: readonly Float64Array[]): number | null {
  const { suggestion } = finding
  if (finding.kind !== 'harsh-build-up' || suggestion?.act !== 'bell') return null
  const { layerId, frequencyHz, gainDb, q, predictedDb } = suggestion
  const cut = layers.map((one, k) =>
    k + 1 === layerId ? throughBand(one, 'bell', frequencyHz, gainDb, q) : one,
  )
  const after = bandEnergy(inSpans(summed(cut)), RATE, finding.evidence.hz)
  return predictedDb - dbOf(after / bandEnergy(inSpans(summed(layers)), RATE, finding.evidence.hz))
}

function blame(): Row[] {
  const whose = 'figure P26'
  const limits = {
    named: limitOf({ low: 100 }, '%', 0, whose),
    unasked: limitOf({ high: 0 }, 'findings', 0, 'ours: nothing is said without a cause'),
    truth: limitOf({ low: -0.5, high: 0.5 }, 'dB', 3, 'within 0.5 dB of the truth'),
    effect: limitOf({ low: -0.3, high: 0.3 }, 'dB', 3, whose),
  }
  const sung = planted('generated voices', sungLayers(6))
  const spoken = haveSpeech ? planted('recorded speech', speechLayers(6)) : null
  const what = {
    named: `a bell at ${PLANTED_HZ} Hz on one of six layers: named first`,
    truth: `what the named layer adds at ${BAND_HZ} Hz, less whole spectra of fft.js with and without it`,
    unasked: 'the same layers without a bell: harsh build-up found',
    effect: 'the suggested cut: predicted less measured',
  }
  return (['named', 'truth', 'effect', 'unasked'] as const).flatMap((kind) => [
    spoken === null
      ? missingRow(ID, `${what[kind]} (speech)`, limits[kind], SPEECH_MISSING)
      : rowOf(ID, `${what[kind]} (speech)`, limits[kind], spoken[kind]),
    rowOf(ID, `${what[kind]} (voices)`, limits[kind], sung[kind]),
  ])
}

function heard(): Row[] {
  const takes = sungLayers(5)
  const shareAt = (db: number): number => {
    const layers = takes.map((samples, k) => ({
      samples: k === 0 ? samples : scaled(samples, db),
      isLead: k === 0,
    }))
    const found: GlimpsedSpan[] = []
    const { length } = takes[0]
    const meter = createGlimpseMeter(RATE, layersOf(layers), [{ from: 0, to: length }], (one) =>
      found.push(one),
    )
    for (let at = 0; at < length; at += 1000) {
      const frames = Math.min(1000, length - at)
      meter.add(
        layers.map(({ samples }) => samples.subarray(at, at + frames)),
        frames,
      )
    }
    meter.finish()
    return found[0].share!
  }
  const levels = [-18, -12, -9, -6, -3]
  const shares = levels.map(shareAt)
  const source = 'figure P27; glimpses after Cooke 2006'
  return [
    rowOf(
      ID,
      'what is heard of a lead under four doubles at -12 dB each',
      limitOf({ low: 0.64, high: 0.84 }, '', 3, source),
      [{ where: 'generated voices', value: shares[1] }],
    ),
    rowOf(ID, 'the same at -6 dB each', limitOf({ low: 0.15, high: 0.35 }, '', 3, source), [
      { where: 'generated voices', value: shares[3] },
    ]),
    rowOf(
      ID,
      'how much less is heard with each step of their level',
      limitOf({ low: 0 }, '', 3, `${source}: it only falls`),
      shares
        .slice(1)
        .map((share, i) => ({ where: `${levels[i]} to ${levels[i + 1]} dB`, value: shares[i] - share })),
    ),
  ]
}

export function measureStackCheck(): Figure {
  return {
    id: ID,
    title: 'What builds up in a stack',
    rows: [...closedForms(), ...predictions(), ...blame(), ...heard()],
    plots: [],
  }
}
