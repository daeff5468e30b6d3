// The same figures on voices, layer counts, frequencies, pans and delays that no threshold was set on.

import type { StackFinding } from '../../../../app/dsp/stack/stack-finding.ts'
import { RATE } from '../../../dsp/stack/measured-stack.ts'
import { heldOutLayers } from '../../../signals/held-out-stacks.ts'
import { scaled } from '../../../signals/speech-stack.ts'
import { throughBand } from '../../../signals/voice-takes.ts'
import { limitOf, missingRow, type Reading, type Row, rowOf } from '../../rows.ts'
import { HELD_OUT_MISSING, HELD_OUT_VOICES, haveHeldOut } from '../../speech.ts'
import { effectOf, offTruth } from './blame-rows.ts'
import { heardShare } from './heard-rows.ts'
import { checkOf, ID } from './stacks.ts'

const VOICES = Object.keys(HELD_OUT_VOICES)
const COUNTS = [2, 3, 4, 5, 6, 7, 8]
const BELLS_HZ = [1250, 1600, 2000, 2500, 4000]
const GAINS_DB = [4, 5, 6, 8]
/** With the level of the copy; from -15.3 dB on, the comb has less than 3 dB. */
const COPIES = [
  { delayMs: 0.2, db: -3 },
  { delayMs: 0.73, db: -6 },
  { delayMs: 1, db: 0 },
  { delayMs: 2.5, db: -10 },
  { delayMs: 5, db: -14 },
  { delayMs: 9.31, db: -3 },
  { delayMs: 14, db: -6 },
]
const UNHEARD_COPIES = [
  { delayMs: 17, db: 0 },
  { delayMs: 20, db: -6 },
  { delayMs: 3, db: -17 },
]

type Gains = readonly (readonly [number, number])[]

/** The lead in the middle, the others to both sides, by sine and cosine. */
const spread = (count: number): Gains =>
  Array.from({ length: count }, (_, k) => {
    const place = k === 0 ? 0 : (k % 2 === 0 ? 1 : -1) * (0.3 + (0.6 * k) / count)
    const angle = ((place + 1) * Math.PI) / 4
    return [Math.cos(angle), Math.sin(angle)]
  })

const isBuildUp = ({ kind }: StackFinding): boolean => kind === 'harsh-build-up' || kind === 'build-up'
const isCopy = ({ kind }: StackFinding): boolean => kind === 'combing' || kind === 'same-sound'

/** Every voice with two of the layer counts in turn, with other bells and layers each time. */
function planted(): Record<'named' | 'truth' | 'effect' | 'others', Reading[]> {
  const readings = { named: [], truth: [], effect: [], others: [] } as ReturnType<typeof planted>
  for (let i = 0; i < 4 * VOICES.length; i++) {
    const name = VOICES[i % VOICES.length]
    const count = COUNTS[i % COUNTS.length]
    const hz = BELLS_HZ[i % BELLS_HZ.length]
    const gainDb = GAINS_DB[(i >> 1) % GAINS_DB.length]
    const k = 1 + ((i * 3) % (count - 1))
    const isPanned = i % 3 === 1
    const layers = heldOutLayers(name, count).map((samples, j) =>
      j === k ? throughBand(samples, 'bell', hz, gainDb, 2) : samples,
    )
    const where = `${name}, layer ${k + 1} of ${count}, +${gainDb} dB at ${hz} Hz${isPanned ? ', panned' : ''}`
    const { findings } = checkOf(layers, isPanned ? spread(count) : [])
    const [first] = findings
    const isNamed = first?.kind === 'harsh-build-up' && first.layerIds[0] === k + 1
    readings.named.push({ where, value: isNamed ? 100 : 0 })
    const others = findings.filter((one) => isCopy(one) || (isBuildUp(one) && one.layerIds[0] !== k + 1))
    readings.others.push({ where, value: others.length })
    if (!isNamed || isPanned) continue
    readings.truth.push({ where, value: offTruth(first, layers) })
    readings.effect.push({ where, value: effectOf(first, layers) ?? Number.NaN })
  }
  return readings
}

function unplanted(): Reading[] {
  return VOICES.flatMap((name) =>
    [3, 8].flatMap((count) =>
      [false, true].map((isPanned) => {
        const { findings } = checkOf(heldOutLayers(name, count), isPanned ? spread(count) : [])
        const where = `${name}, ${count} layers${isPanned ? ', panned' : ''}`
        return { where, value: findings.filter((one) => isBuildUp(one) || isCopy(one)).length }
      }),
    ),
  )
}

/** A layer later by any time; between samples by a straight line. */
function late(samples: Float64Array, delayMs: number): Float64Array {
  const frames = (delayMs * RATE) / 1000
  const whole = Math.floor(frames)
  const part = frames - whole
  return samples.map((_, n) => (1 - part) * (samples[n - whole] ?? 0) + part * (samples[n - whole - 1] ?? 0))
}

function copies(): Record<'delays' | 'unheard', Reading[]> {
  const readings: ReturnType<typeof copies> = { delays: [], unheard: [] }
  for (const [i, name] of VOICES.entries()) {
    const layers = heldOutLayers(name, 3 + (i % 4))
    const of = i % layers.length
    const withCopy = (delayMs: number, db: number): StackFinding[] =>
      checkOf([...layers, scaled(late(layers[of], delayMs), db)]).findings.filter(isCopy)
    for (const { delayMs, db } of [COPIES[i % COPIES.length], COPIES[(i + 3) % COPIES.length]]) {
      const found = withCopy(delayMs, db)
      const isRight = found.length === 1 && found[0].layerIds.join() === `${layers.length + 1},${of + 1}`
      readings.delays.push({
        where: `${name}, layer ${of + 1} of ${layers.length}, ${delayMs} ms late, ${db} dB`,
        value: isRight ? Math.abs(found[0].value - delayMs) : Number.NaN,
      })
    }
    const { delayMs, db } = UNHEARD_COPIES[i % UNHEARD_COPIES.length]
    readings.unheard.push({
      where: `${name}, ${delayMs} ms late, ${db} dB`,
      value: withCopy(delayMs, db).length,
    })
  }
  return readings
}

/** How much less is heard of the lead with each step of four doubles. */
function lessHeard(): Reading[] {
  const levels = [-18, -12, -9, -6, -3]
  return VOICES.flatMap((name) => {
    // Of one level each: the levels under the lead are set here.
    const [lead] = heldOutLayers(name, 5)
    const doubles = [1, 2, 3, 4].map((k) => turned(lead, Math.floor((k * lead.length) / 5)))
    const shares = levels.map((db) => heardShare([lead, ...doubles.map((one) => scaled(one, db))]))
    return shares.slice(1).map((share, i) => ({
      where: `${name}, ${levels[i]} to ${levels[i + 1]} dB`,
      value: shares[i] - share,
    }))
  })
}

function turned(samples: Float64Array, from: number): Float64Array {
  const turnedOnes = new Float64Array(samples.length)
  turnedOnes.set(samples.subarray(from))
  turnedOnes.set(samples.subarray(0, from), samples.length - from)
  return turnedOnes
}

export function heldOut(): Row[] {
  const limits = {
    named: limitOf({ low: 100 }, '%', 0, 'figure P26'),
    truth: limitOf({ low: -0.5, high: 0.5 }, 'dB', 3, 'within 0.5 dB of the truth'),
    effect: limitOf({ low: -0.3, high: 0.3 }, 'dB', 3, 'figure P26'),
    others: limitOf({ high: 0 }, 'findings', 0, 'ours: nothing is said without a cause'),
    unasked: limitOf({ high: 0 }, 'findings', 0, 'ours: nothing is said without a cause'),
    delays: limitOf({ high: 0.021 }, 'ms', 4, 'ours: a sample of 48 kHz'),
    unheard: limitOf({ high: 0 }, 'findings', 0, 'closed form: under 3 dB of ripple, or over 15 ms'),
    lessHeard: limitOf({ low: 0 }, '', 3, 'figure P27: it only falls'),
  }
  const what = {
    named: 'other voices, 2 to 8 layers, bells of 4 to 8 dB at 1.25 to 4 kHz: named first',
    truth: 'the same: what the named layer adds, less whole spectra of fft.js with and without it',
    effect: 'the same: the suggested cut, predicted less measured',
    others: 'the same: other layers named for build-up, or copies',
    unasked: 'other voices without a bell: build-up or copies found',
    delays: 'copies 0.2 to 14 ms late, 0 to 14 dB down, among 3 to 6 layers: delay off by',
    unheard: 'copies more than 15 ms late or 17 dB down: called a comb',
    lessHeard: 'other voices: how much less is heard with each step of four doubles',
  }
  const rows = ['named', 'truth', 'effect', 'others', 'unasked', 'delays', 'unheard', 'lessHeard'] as const
  if (!haveHeldOut) return rows.map((row) => missingRow(ID, what[row], limits[row], HELD_OUT_MISSING))
  const readings = { ...planted(), unasked: unplanted(), ...copies(), lessHeard: lessHeard() }
  return rows.map((row) => rowOf(ID, what[row], limits[row], readings[row]))
}
