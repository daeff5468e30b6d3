// Sibilants: planted ones, sounds that are none, gains that change
// nothing, and the published place of /s/.

import { createShortFrames, type ShortFrameFacts } from '../../../../app/dsp/analysis/sibilance/sibilance.ts'
import { sibilanceOf } from '../../../../app/dsp/analysis/sibilance/sibilance-facts.ts'
import { RAP_BARITONE } from '../../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../../../app/dsp/voice/songs/seven-stairs.ts'
import { VOICE_RATE_HZ, type VoiceTake, voiceTake } from '../../../signals/voice-takes.ts'
import { repeatedSyllable, SUNG_ALTO } from '../../../signals/voices.ts'
import { limitOf, type Reading, type Row, rowOf } from '../../rows.ts'

const TARGET = 'Takeloft’s own target'
/** Jongman, Wayland & Wong (2000), J. Acoust. Soc. Am. 108, 1252: spectral peak of /s z/ of 20 talkers. */
const JONGMAN_PEAK_HZ = 6839

function listenFor(samples: Float64Array): ShortFrameFacts {
  const frames = createShortFrames(VOICE_RATE_HZ)
  frames.add(samples, samples.length)
  return frames.finish()
}

const isIn = (
  one: { readonly startSeconds: number; readonly endSeconds: number },
  other: { readonly startSeconds: number; readonly endSeconds: number },
): boolean => one.startSeconds < other.endSeconds && one.endSeconds > other.startSeconds

/** Onset errors in ms of planted /s/ of 60 ms and more; null for one that was not found. */
function onsetErrorsMs({ samples, truth }: VoiceTake): (number | null)[] {
  const { sibilants } = listenFor(samples)
  return truth.sibilants
    .filter((one) => one.consonant === 'S' && one.endSeconds - one.startSeconds >= 0.06)
    .map((one) => {
      const event = sibilants.find((found) => isIn(found, one))
      return event === undefined ? null : 1000 * (event.startSeconds - one.startSeconds)
    })
}

/** Share of breaths, /f/ and /h/ that were taken for sibilants. */
function falseEvents(takes: readonly VoiceTake[]): Reading {
  let sounds = 0
  let taken = 0
  for (const { samples, truth } of takes) {
    const { sibilants } = listenFor(samples)
    sounds += truth.breaths.length
    taken += truth.breaths.filter((breath) => sibilants.some((one) => isIn(one, breath))).length
  }
  for (const [syllable, seed] of [
    ['F AA', 5],
    ['F IY', 6],
    ['AA F', 7],
    ['HH AA', 8],
    ['HH IY', 9],
  ] as const) {
    sounds += 10
    taken += listenFor(voiceTake(RAP_BARITONE, repeatedSyllable(syllable, 10), seed).samples).sibilants.length
  }
  return { where: `${taken} of ${sounds}`, value: (100 * taken) / sounds }
}

/** Events that are not the same, or whose ratio is not, once the take is louder or softer. */
function changedByGain({ samples }: VoiceTake, gainDb: number): Reading {
  const before = listenFor(samples).sibilants
  const after = listenFor(samples.map((x) => x * 10 ** (gainDb / 20))).sibilants
  const isSame = (one: (typeof before)[number], i: number): boolean =>
    after[i] !== undefined &&
    Math.abs(after[i].startSeconds - one.startSeconds) < 1e-6 &&
    Math.abs(after[i].endSeconds - one.endSeconds) < 1e-6 &&
    Math.abs(after[i].ratioDb - one.ratioDb) < 1e-6
  const changed = before.filter((one, i) => !isSame(one, i)).length + Math.abs(after.length - before.length)
  return { where: `${gainDb} dB, ${before.length} events`, value: changed }
}

export function sibilanceRows(): Row[] {
  const takes = [
    ...[7, 8].map((seed) => voiceTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, seed)),
    ...[7, 8].map((seed) => voiceTake(SUNG_ALTO, PAPER_LANTERNS_HOOK, seed)),
    voiceTake(RAP_BARITONE, repeatedSyllable('S AA', 12), 3),
    voiceTake(SUNG_ALTO, repeatedSyllable('AA S', 12), 3),
  ]
  const onsets = takes.flatMap(onsetErrorsMs)
  const found = onsets.filter((one) => one !== null)
  const peaks = [
    { where: 'rap baritone', singer: RAP_BARITONE },
    { where: 'sung alto', singer: SUNG_ALTO },
  ].map(({ where, singer }) => {
    const { sibilants, binHz } = listenFor(voiceTake(singer, repeatedSyllable('S AA', 16), 11).samples)
    const { peakHz } = sibilanceOf(sibilants, binHz, null)
    return { where, value: 100 * ((peakHz ?? Number.NaN) / JONGMAN_PEAK_HZ - 1) }
  })
  return [
    rowOf('T2', 'planted /s/ of 60 ms and more that were found', limitOf({ low: 95 }, '%', 1, TARGET), [
      { where: `${found.length} of ${onsets.length}`, value: (100 * found.length) / onsets.length },
    ]),
    rowOf(
      'T2',
      'their onsets, off by',
      limitOf({ low: -10, high: 10 }, 'ms', 1, TARGET),
      found.map((value) => ({ where: 'one /s/', value })),
    ),
    rowOf('T2', 'breaths, /f/ and /h/ taken for sibilants', limitOf({ high: 5 }, '%', 1, TARGET), [
      falseEvents(takes),
    ]),
    rowOf(
      'T2',
      'sibilants that change with 20 dB of gain up or down',
      limitOf({ high: 0 }, 'events', 0, TARGET),
      [-20, 20].flatMap((gainDb) => [changedByGain(takes[0], gainDb), changedByGain(takes[2], gainDb)]),
    ),
    rowOf(
      'T2',
      'peak of /s/ against 6839 Hz',
      limitOf({ low: -8, high: 8 }, '%', 1, 'Jongman et al. 2000 (mean of men and women; 8 % is ours)'),
      peaks,
    ),
  ]
}
