// What the voice analysis makes of sounds whose truth is known, to be looked at.

import { THIRD_OCTAVES } from '../../../../app/dsp/analysis/spectra/third-octaves.ts'
import { envelopeFrequencyHz } from '../../../../app/dsp/analysis/voice-envelope.ts'
import { PAPER_LANTERNS_HOOK } from '../../../../app/dsp/voice/songs/paper-lanterns.ts'
import { ENVELOPE_RATE_HZ, envelopeDb } from '../../../signals/envelope-peaks.ts'
import { formantVowel } from '../../../signals/formant-vowel.ts'
import { bandErrorsDb, byrneLevelsDb } from '../../../signals/long-term-levels.ts'
import { PETERSON_BARNEY_1952_MEN } from '../../../signals/published-speech.ts'
import { VOICE_RATE_HZ, voiceTake } from '../../../signals/voice-takes.ts'
import { SUNG_ALTO } from '../../../signals/voices.ts'
import { evenAxis, LOG_HZ, type Plot } from '../../plot.ts'
import { pitchTrackOf } from './pitch-rows.ts'

function publishedSpectrum(): Plot {
  const wanted = byrneLevelsDb('men')
  const errors = bandErrorsDb(wanted, 3)
  const xs = THIRD_OCTAVES.filter(({ nominalHz }) => wanted.has(nominalHz)).map(({ nominalHz }) => nominalHz)
  // Full scale stands for 90 dB SPL in the noise.
  const published = xs.map((hz) => wanted.get(hz)! + 90)
  return {
    title: 'Long-term spectrum',
    caption:
      'Noise shaped to the average speech of men (Byrne et al. 1994), dB SPL per third octave at 70 dB SPL in all, and what the analysis reads.',
    x: LOG_HZ,
    y: evenAxis('dB SPL', 30, 70, 10),
    curves: [
      { name: 'published', xs, ys: published, kind: 'line', colour: 'soft' },
      {
        name: 'read',
        xs,
        ys: published.map((level, i) => level + errors.get(xs[i])!),
        kind: 'points',
        colour: 'accent',
      },
    ],
  }
}

function pitchOfALine(): Plot {
  const take = voiceTake(SUNG_ALTO, PAPER_LANTERNS_HOOK, 7)
  const { f0 } = take.truth
  const { seconds, hz } = pitchTrackOf(take)
  const sung = Array.from(f0.hz, (value, i) => ({ second: i * f0.stepSeconds, value })).filter(
    ({ value }) => value > 0,
  )
  const end = take.samples.length / VOICE_RATE_HZ
  return {
    title: 'Pitch',
    caption:
      'A generated hook of a sung alto with jitter: the truth of the generator and the pitch that is read.',
    x: evenAxis('time, s', 0, Math.ceil(end), 2),
    y: evenAxis('Hz', 150, 500, 50),
    curves: [
      {
        name: 'truth',
        xs: sung.map(({ second }) => second),
        ys: sung.map(({ value }) => value),
        kind: 'points',
        colour: 'sand',
      },
      { name: 'read', xs: seconds, ys: hz, kind: 'points', colour: 'accent' },
    ],
  }
}

function formantsOfAVowel(): Plot {
  const [word, pitchHz, f1, f2, f3] = PETERSON_BARNEY_1952_MEN[3]
  const levels = envelopeDb(formantVowel([f1, f2, f3], pitchHz, 0.5, ENVELOPE_RATE_HZ), pitchHz)
  const highest = Math.max(...levels)
  const xs = levels.map((_, i) => envelopeFrequencyHz(i))
  return {
    title: `Envelope of the vowel in “${word}”`,
    caption: `Harmonics of ${pitchHz} Hz under resonances at the formants of Peterson & Barney 1952 (Table II, men), the dashed lines; the envelope has peaks there and no harmonics.`,
    x: LOG_HZ,
    y: evenAxis('dB', -60, 0, 10),
    curves: [
      { name: 'envelope', xs, ys: levels.map((level) => level - highest), kind: 'line', colour: 'accent' },
      ...[f1, f2, f3].map((hz, i) => ({
        name: `F${i + 1}, ${hz} Hz`,
        xs: [hz, hz],
        ys: [-60, 0],
        kind: 'dashed' as const,
        colour: 'sand' as const,
      })),
    ],
  }
}

export const voicePlots = (): Plot[] => [publishedSpectrum(), pitchOfALine(), formantsOfAVowel()]
