// A bell planted on one of six layers of recorded speech and of generated voices: who is named, and what the
// suggested cut does.

import type { StackFinding } from '../../../../app/dsp/stack/stack-finding.ts'
import { RATE } from '../../../dsp/stack/measured-stack.ts'
import { bandEnergy } from '../../../signals/outside-spectrum.ts'
import { SPEECH_LEVELS_DB, scaled, speechLayers } from '../../../signals/speech-stack.ts'
import { throughBand } from '../../../signals/voice-takes.ts'
import { limitOf, missingRow, type Reading, type Row, rowOf } from '../../rows.ts'
import { haveSpeech, SPEECH_MISSING } from '../../speech.ts'
import { checkOf, dbOf, ID, summed, sungLayers } from './stacks.ts'

const BAND_HZ = 3150
const PLANTED_HZ = 3000

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
export function offTruth(finding: StackFinding, layers: readonly Float64Array[]): number {
  if (finding.kind !== 'harsh-build-up') return Number.NaN
  const kept = layers.map(inSpans)
  const { hz, leaveOneOutDb } = finding.evidence
  const without = kept.filter((_, k) => k + 1 !== finding.layerIds[0])
  return leaveOneOutDb - dbOf(bandEnergy(summed(kept), RATE, hz) / bandEnergy(summed(without), RATE, hz))
}

/** The predicted effect of the suggested bell less that of the stack summed with it. */
export function effectOf(finding: StackFinding, layers: readonly Float64Array[]): number | null {
  const { suggestion } = finding
  if (finding.kind !== 'harsh-build-up' || suggestion?.act !== 'bell') return null
  const { layerId, frequencyHz, gainDb, q, predictedDb } = suggestion
  const cut = layers.map((one, k) =>
    k + 1 === layerId ? throughBand(one, 'bell', frequencyHz, gainDb, q) : one,
  )
  const after = bandEnergy(inSpans(summed(cut)), RATE, finding.evidence.hz)
  return predictedDb - dbOf(after / bandEnergy(inSpans(summed(layers)), RATE, finding.evidence.hz))
}

export function blame(): Row[] {
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
