// The targets of the voice analysis (DSP notes, section 2) against the truth of generated voices.

import { createPitchFinder } from '../../../app/dsp/analysis/pitch-finder.ts'
import { createShortFrames } from '../../../app/dsp/analysis/sibilance.ts'
import { RAP_BARITONE, SUNG_ALTO, SUNG_BARITONE } from '../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../../app/dsp/voice/songs/seven-stairs.ts'
import { VOICE_RATE_HZ, type VoiceTake, voiceTake } from '../../signals/voice-takes.ts'
import { type Figure, limitOf, rowOf } from '../rows.ts'

const BLOCK = 1024

/** Distance of the pitch from the truth in cents, wherever both have voice. */
function pitchErrorsCents({ samples, truth }: VoiceTake): number[] {
  const finder = createPitchFinder(VOICE_RATE_HZ)
  for (let at = 0; at < samples.length; at += BLOCK) {
    const block = samples.subarray(at, at + BLOCK)
    finder.add(block, block.length)
  }
  const { seconds, hz } = finder.track()
  return Array.from(hz).flatMap((found, i) => {
    const trueHz = truth.f0.hz[Math.round(seconds[i] / truth.f0.stepSeconds)] ?? 0
    return trueHz > 0 ? [Math.abs(1200 * Math.log2(found / trueHz))] : []
  })
}

/** Onset errors in ms of planted /s/ of 60 ms and more; null for one that was not found. */
function sibilantErrorsMs({ samples, truth }: VoiceTake): (number | null)[] {
  const frames = createShortFrames(VOICE_RATE_HZ)
  frames.add(samples, samples.length)
  const { sibilants } = frames.finish()
  return truth.sibilants
    .filter((one) => one.consonant === 'S' && one.endSeconds - one.startSeconds >= 0.06)
    .map((one) => {
      const event = sibilants.find(
        (found) => found.startSeconds < one.endSeconds && found.endSeconds > one.startSeconds,
      )
      return event === undefined ? null : 1000 * (event.startSeconds - one.startSeconds)
    })
}

const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1]
const target = (section: string): string => `target of the DSP notes, section ${section}`

export function measureVoice(): Figure {
  const sung = [
    { where: 'sung baritone', take: voiceTake(SUNG_BARITONE, PAPER_LANTERNS_HOOK, 7) },
    { where: 'sung alto', take: voiceTake(SUNG_ALTO, PAPER_LANTERNS_HOOK, 7) },
  ]
  const rap = { where: 'rap baritone', take: voiceTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 7) }
  const errors = [...sung, rap].map(({ where, take }) => ({ where, cents: pitchErrorsCents(take) }))
  const onsets = [...sung, rap].flatMap(({ take }) => sibilantErrorsMs(take))
  const found = onsets.filter((one) => one !== null)
  return {
    id: 'T2',
    title: 'Voice',
    plots: [],
    rows: [
      rowOf(
        'T2',
        'pitch: frames more than 50 cents off',
        limitOf({ high: 1 }, '%', 2, target('2.2')),
        errors.map(({ where, cents }) => ({
          where,
          value: (100 * cents.filter((one) => one > 50).length) / cents.length,
        })),
      ),
      rowOf(
        'T2',
        'pitch of sung lines: median error',
        limitOf({ high: 5 }, 'cents', 2, target('2.2')),
        errors.slice(0, 2).map(({ where, cents }) => ({ where, value: median(cents) })),
      ),
      rowOf(
        'T2',
        'pitch of rap: median error',
        limitOf(
          { high: 7 },
          'cents',
          2,
          'ours: the jitter of single periods is in the sound and not in its truth',
        ),
        [{ where: rap.where, value: median(errors[2].cents) }],
      ),
      rowOf(
        'T2',
        'planted /s/ of 60 ms and more that were found',
        limitOf({ low: 95 }, '%', 1, target('2.3')),
        [{ where: `${found.length} of ${onsets.length}`, value: (100 * found.length) / onsets.length }],
      ),
      rowOf(
        'T2',
        'their onsets, off by',
        limitOf({ low: -10, high: 10 }, 'ms', 1, target('2.3')),
        found.map((value) => ({ where: 'one /s/', value })),
      ),
    ],
  }
}
