// F6: what comes off fricatives, what stays untouched, and whether the level into the stage
// matters; on generated lines and on real speech.

import { defaultStages } from '../../../app/contract/chain-document.ts'
import type { DeEssSettings, StageSetup } from '../../../app/dsp/stages/settings.ts'
import { hissedLine, type SoundSpan } from '../../signals/fricatives.ts'
import { whiteNoise } from '../../signals/noise.ts'
import { bandPower, welchSpectrum } from '../../signals/speech-measures.ts'
import { LIMITS } from '../limits.ts'
import { evenAxis, type Plot } from '../plot.ts'
import { type Figure, missingRow, nullDb, type Reading, type Row, rowOf } from '../rows.ts'
import { runMono } from '../run-stage.ts'
import { haveSpeech, SPEECH_MISSING, speech, speechOf, VOICES } from '../speech.ts'

const FS = 48_000
const FRAME = 960
const SETTINGS: DeEssSettings = { shape: 'high-shelf', frequencyHz: 5000, thresholdDb: 0, rangeDb: 6 }

const deEssOf = (settings: Partial<DeEssSettings> = {}): StageSetup => ({
  kind: 'de-ess',
  settings: { ...SETTINGS, ...settings },
})

/** Level of 5 to 10 kHz in the middle of the spans, power mean in dB. */
function sibilantDb(samples: Float64Array, spans: readonly SoundSpan[]): number {
  let power = 0
  for (const { from, to } of spans) {
    const middle = (from + to) >> 1
    power += bandPower(welchSpectrum(samples.subarray(middle - 1024, middle + 1024), FS, 1024), 5000, 10_000)
  }
  return 10 * Math.log10(power / spans.length)
}

function rowOfAskedFor(): Row {
  const readings = (
    [
      ['high-shelf', 5000, 3],
      ['high-shelf', 5000, 6],
      ['high-shelf', 4000, 9],
      ['high-shelf', 5000, 12],
      ['bell', 7000, 6],
    ] as const
  ).flatMap(([shape, frequencyHz, rangeDb]) =>
    [2, 3].map((seed): Reading => {
      const line = hissedLine(6, FS, seed)
      const output = runMono([deEssOf({ shape, frequencyHz, rangeDb })], line.samples)
      const taken = sibilantDb(line.samples, line.hisses) - sibilantDb(output, line.hisses)
      return {
        where: `${shape} ${frequencyHz} Hz, ${rangeDb} dB, line ${seed}`,
        value: 100 * (taken / rangeDb - 1),
      }
    }),
  )
  return rowOf(
    'F6',
    'generated fricatives: taken off 5 to 10 kHz, off what was asked for by',
    LIMITS.askedForPercent,
    readings,
  )
}

function rowOfGeneratedVowels(): Row {
  const readings = [90, 120, 200, 400].map((pitchHz): Reading => {
    const line = hissedLine(6, FS, 2, { pitchHz })
    const output = runMono([deEssOf({ rangeDb: 12 })], line.samples)
    const nulls = line.vowels.map(({ from, to }) => {
      // 90 ms after a hiss, and up to the fade under which the next one begins.
      const first = from === 0 ? 0 : from + 0.09 * FS
      const last = to - 0.015 * FS
      return nullDb(output.subarray(first, last), line.samples.subarray(first, last))
    })
    return { where: `vowel of ${pitchHz} Hz`, value: Math.max(...nulls) }
  })
  return rowOf('F6', 'generated vowels: null of output and input', LIMITS.untouchedNullDb, readings)
}

function rowOfLevels(name: string, samples: Float64Array, spans: readonly SoundSpan[]): Row {
  const depth = (gainDb: number) => {
    const louder = samples.map((x) => x * 10 ** (gainDb / 20))
    return sibilantDb(louder, spans) - sibilantDb(runMono([deEssOf()], louder), spans)
  }
  const plain = depth(0)
  const readings = [-20, -15, -10, -5, 5, 10].map((gainDb) => ({
    where: `${gainDb} dB`,
    value: depth(gainDb) - plain,
  }))
  return rowOf(
    'F6',
    `${name}: what is taken at another input level less what is taken at 0 dB`,
    LIMITS.levelIndependenceDb,
    readings,
  )
}

interface SpeechFrame extends SoundSpan {
  /** Level of 4 to 11 kHz over that of 0.2 to 4 kHz, dB. */
  readonly ratioDb: number
  readonly levelDbfs: number
}

/** Frames of 20 ms, judged by their spectra alone. */
function framesOf(samples: Float64Array): SpeechFrame[] {
  const frames: SpeechFrame[] = []
  for (let from = 0; from + FRAME <= samples.length; from += FRAME) {
    const padded = new Float64Array(1024)
    padded.set(samples.subarray(from, from + FRAME))
    const spectrum = welchSpectrum(padded, FS, 1024)
    const high = bandPower(spectrum, 4000, 11_000)
    const low = bandPower(spectrum, 200, 4000)
    frames.push({
      from,
      to: from + FRAME,
      ratioDb: 10 * Math.log10((high + 1e-12) / (low + 1e-12)),
      levelDbfs: 10 * Math.log10(high + low + 1e-12),
    })
  }
  return frames
}

function rowsOnSpeech(): Row[] {
  const taken = 'real speech: taken off 5 to 10 kHz of its sibilants, 6 dB asked for'
  const kept = 'real speech: null of output and input where nothing is sibilant'
  const level = 'real speech'
  if (!haveSpeech) {
    return [
      missingRow('F6', taken, LIMITS.speechTakenDb, SPEECH_MISSING),
      missingRow('F6', kept, LIMITS.untouchedNullDb, SPEECH_MISSING),
      missingRow('F6', level, LIMITS.levelIndependenceDb, SPEECH_MISSING),
    ]
  }
  const voice = speech()
  const frames = framesOf(voice)
  const isSibilant = ({ ratioDb, levelDbfs }: SpeechFrame) => ratioDb > 6 && levelDbfs > -45
  const sibilants = frames.filter(isSibilant)
  // Away from anything that leans toward sibilance: 60 ms before, 120 ms after it (release and hold).
  const plain = frames.filter((_, i) =>
    frames.slice(Math.max(0, i - 6), i + 4).every(({ ratioDb }) => ratioDb < -8),
  )
  const output = runMono([deEssOf()], voice)
  const takenDb = sibilants.map(({ from, to }) => {
    const band = (samples: Float64Array) => {
      const padded = new Float64Array(1024)
      padded.set(samples.subarray(from, to))
      return 10 * Math.log10(bandPower(welchSpectrum(padded, FS, 1024), 5000, 10_000))
    }
    return band(voice) - band(output)
  })
  const mean = takenDb.reduce((sum, one) => sum + one, 0) / takenDb.length
  return [
    rowOf('F6', taken, LIMITS.speechTakenDb, [
      { where: `mean of ${sibilants.length} frames of 20 ms`, value: mean },
    ]),
    rowOf('F6', kept, LIMITS.untouchedNullDb, [
      {
        where: `${plain.length} frames of 20 ms`,
        value: Math.max(
          ...plain.map(({ from, to }) => nullDb(output.subarray(from, to), voice.subarray(from, to))),
        ),
      },
    ]),
    rowOfLevels(
      level,
      voice,
      sibilants.filter(({ from }) => from > 2048 && from < voice.length - 4096),
    ),
  ]
}

/** Stretches of at least `least` frames of 20 ms, faded at both ends, at one level. */
function cutOut(
  samples: Float64Array,
  frames: readonly SpeechFrame[],
  is: (frame: SpeechFrame) => boolean,
  least: number,
) {
  const pieces: Float64Array[] = []
  for (let first = 0; first < frames.length; first++) {
    let past = first
    while (past < frames.length && is(frames[past])) past++
    if (past - first >= least) {
      const piece = samples.slice(frames[first].from, frames[past - 1].to)
      const power = piece.reduce((sum, x) => sum + x * x, 0) / piece.length
      const fade = (n: number) => Math.min(1, n / 240, (piece.length - n) / 240)
      pieces.push(piece.map((x, n) => (x * fade(n)) / Math.sqrt(power)))
    }
    first = past
  }
  return pieces
}

/** Four hot fricatives, and then eight that are 12 dB softer. */
const isSoft = (k: number): boolean => k >= 4
const FRICATIVES = 12
const VOWEL_RMS = 0.1
/** Level of 5 to 10 kHz in hot fricatives: 10 dB under the vowels, usual in the clips (measured). */
const FRICATIVE_DB = -30
const REST_SECONDS = 60

interface Taken {
  readonly hotDb: number
  /** Off the soft fricative from which most is taken. */
  readonly softDb: number
}

/**
 * What is taken off hot and off soft fricatives of a voice, dB; null where it has too few. The fricatives are
 * levelled by the band that is judged, since some of the clips have rumble 20 dB over an s.
 * @param restSeconds of faint noise between the hot ones and the soft ones
 */
function takenHotAndSoft(voice: Float64Array, restSeconds: number): Taken | null {
  const frames = framesOf(voice)
  const loudest = Math.max(...frames.map(({ levelDbfs }) => levelDbfs))
  const fricatives = cutOut(
    voice,
    frames,
    ({ ratioDb, levelDbfs }) => ratioDb > 6 && levelDbfs > loudest - 35,
    4,
  )
  const vowels = cutOut(
    voice,
    frames,
    ({ ratioDb, levelDbfs }) => ratioDb < -10 && levelDbfs > loudest - 15,
    5,
  )
  if (fricatives.length === 0 || vowels.length === 0) return null
  const pieces: number[] = []
  const hot: SoundSpan[] = []
  const soft: SoundSpan[] = []
  for (let k = 0; k < FRICATIVES; k++) {
    for (const piece of [vowels[(2 * k) % vowels.length], vowels[(2 * k + 1) % vowels.length]]) {
      for (const x of piece) pieces.push(VOWEL_RMS * x)
    }
    const from = pieces.length
    const fricative = fricatives[k % fricatives.length]
    const levelDb = sibilantDb(fricative, [{ from: 0, to: fricative.length }])
    const gain = 10 ** ((FRICATIVE_DB - levelDb - (isSoft(k) ? 12 : 0)) / 20)
    for (const x of fricative) pieces.push(gain * x)
    ;(isSoft(k) ? soft : hot).push({ from, to: pieces.length })
    if (k === 3) for (const x of whiteNoise(restSeconds * FS, 6, 1e-4)) pieces.push(x)
  }
  const line = Float64Array.from(pieces)
  const output = runMono([deEssOf()], line)
  const taken = (spans: readonly SoundSpan[]) => sibilantDb(line, spans) - sibilantDb(output, spans)
  return { hotDb: taken(hot), softDb: Math.max(...soft.map((span) => taken([span]))) }
}

function rowsOfCutOut(): Row[] {
  const off = 'cut-out fricatives, hot ones: taken off 5 to 10 kHz, off the 6 dB asked for by'
  const less =
    'eight of them in a row 12 dB softer, behind four hot ones: taken off each less than off hot ones'
  const rested = 'the same behind a minute of rest'
  const missing = Object.entries(VOICES).find(([, paths]) => paths.length === 0)?.[0]
  if (missing !== undefined) {
    const why = `the clips of ${missing.split(',')[0]} are not installed`
    return [
      missingRow('F6', off, LIMITS.hotTakenPercent, why),
      missingRow('F6', less, LIMITS.softTakenLessDb, why),
      missingRow('F6', rested, LIMITS.softTakenLessDb, why),
    ]
  }
  const voices = Object.entries(VOICES).map(([where, paths]) => ({ where, voice: speechOf(paths) }))
  const takenBehind = (restSeconds: number) =>
    voices.flatMap(({ where, voice }) => {
      const taken = takenHotAndSoft(voice, restSeconds)
      return taken === null ? [] : [{ where, ...taken }]
    })
  const taken = takenBehind(0)
  const lessOf = ({ where, hotDb, softDb }: { where: string } & Taken): Reading => ({
    where,
    value: hotDb - softDb,
  })
  return [
    rowOf(
      'F6',
      off,
      LIMITS.hotTakenPercent,
      taken.map(({ where, hotDb }) => ({ where, value: 100 * (hotDb / 6 - 1) })),
    ),
    rowOf('F6', less, LIMITS.softTakenLessDb, taken.map(lessOf)),
    rowOf('F6', rested, LIMITS.softTakenLessDb, takenBehind(REST_SECONDS).map(lessOf)),
  ]
}

/** Level of a band in frames of 10 ms. */
function bandOverTime(samples: Float64Array, fromHz: number, toHz: number) {
  const xs: number[] = []
  const ys: number[] = []
  for (let at = 0; at + 1024 <= samples.length; at += 480) {
    xs.push((at + 512) / FS)
    ys.push(
      10 *
        Math.log10(bandPower(welchSpectrum(samples.subarray(at, at + 1024), FS, 1024), fromHz, toHz) + 1e-12),
    )
  }
  return { xs, ys }
}

function bandPlot(title: string, samples: Float64Array): Plot {
  const output = runMono(
    [{ kind: 'de-ess', settings: { ...defaultStages['de-ess'].settings, rangeDb: 8 } }],
    samples,
  )
  const seconds = Math.floor(samples.length / FS)
  return {
    title,
    caption:
      'Levels of two bands in frames of 10 ms, before and after; 8 dB asked for. The voice under 4 kHz lies on itself.',
    x: evenAxis('time, s', 0, seconds, seconds > 5 ? 1 : 0.5),
    y: evenAxis('level, dBFS', -90, 0, 15),
    curves: [
      { name: '0.2 to 4 kHz before', ...bandOverTime(samples, 200, 4000), kind: 'line', colour: 'soft' },
      { name: 'after', ...bandOverTime(output, 200, 4000), kind: 'dashed', colour: 'ink' },
      { name: '5 to 10 kHz before', ...bandOverTime(samples, 5000, 10_000), kind: 'line', colour: 'failure' },
      { name: 'after', ...bandOverTime(output, 5000, 10_000), kind: 'line', colour: 'accent' },
    ],
  }
}

function spectrumPlot(): Plot {
  const line = hissedLine(6, FS, 2)
  const output = runMono([deEssOf({ rangeDb: 8 })], line.samples)
  const of = (samples: Float64Array, spans: readonly SoundSpan[]) => {
    const total = new Float64Array(513)
    let binHz = 0
    for (const { from, to } of spans) {
      const middle = (from + to) >> 1
      const spectrum = welchSpectrum(samples.subarray(middle - 1024, middle + 1024), FS, 1024)
      binHz = spectrum.binHz
      spectrum.power.forEach((power, k) => {
        total[k] += power / spans.length
      })
    }
    return { xs: total.map((_, k) => k * binHz), ys: total.map((power) => 10 * Math.log10(power + 1e-15)) }
  }
  return {
    title: 'Spectra of the generated line',
    caption: 'Hisses and vowels, before and after 8 dB asked for from 5 kHz up.',
    x: evenAxis('frequency, Hz', 0, 16_000, 2000),
    y: evenAxis('level of a bin, dBFS', -100, -20, 20),
    curves: [
      { name: 'hisses before', ...of(line.samples, line.hisses), kind: 'line', colour: 'failure' },
      { name: 'hisses after', ...of(output, line.hisses), kind: 'line', colour: 'accent' },
      { name: 'vowels before', ...of(line.samples, line.vowels), kind: 'line', colour: 'soft' },
      { name: 'vowels after', ...of(output, line.vowels), kind: 'dashed', colour: 'ink' },
    ],
  }
}

export function measureDeEss(): Figure {
  const line = hissedLine(6, FS, 2)
  return {
    id: 'F6',
    title: 'De-ess',
    rows: [
      rowOfAskedFor(),
      rowOfGeneratedVowels(),
      rowOfLevels('generated line', line.samples, line.hisses),
      ...rowsOnSpeech(),
      ...rowsOfCutOut(),
    ],
    plots: [
      bandPlot('A generated line, before and after', hissedLine(8, FS, 2).samples),
      ...(haveSpeech ? [bandPlot('Real speech, before and after', speech())] : []),
      spectrumPlot(),
    ],
  }
}
