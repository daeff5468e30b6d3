// The fundamental against the truth of generated voices.

import { createPitchFinder } from '../../../../app/dsp/analysis/pitch/pitch-finder.ts'
import type { PitchTrack } from '../../../../app/dsp/analysis/pitch/pitch-track.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../../../app/dsp/voice/songs/seven-stairs.ts'
import { VOICE_RATE_HZ, type VoiceTake, voiceTake } from '../../../signals/voice-takes.ts'
import { SUNG_ALTO } from '../../../signals/voices.ts'
import { limitOf, type Row, rowOf } from '../../rows.ts'

const BLOCK = 1024
const TARGET = 'Takeloft’s own target'

export function pitchTrackOf({ samples }: VoiceTake): PitchTrack {
  const finder = createPitchFinder(VOICE_RATE_HZ)
  for (let at = 0; at < samples.length; at += BLOCK) {
    const block = samples.subarray(at, at + BLOCK)
    finder.add(block, block.length)
  }
  return finder.track()
}

/** Distance of the pitch from the truth in cents, wherever both have voice. */
function pitchErrorsCents(take: VoiceTake): number[] {
  const { seconds, hz } = pitchTrackOf(take)
  const { truth } = take
  return Array.from(hz).flatMap((found, i) => {
    const trueHz = truth.f0.hz[Math.round(seconds[i] / truth.f0.stepSeconds)] ?? 0
    return trueHz > 0 ? [Math.abs(1200 * Math.log2(found / trueHz))] : []
  })
}

const median = (values: readonly number[]): number => values.toSorted((a, b) => a - b)[values.length >> 1]

export function pitchRows(): Row[] {
  const errors = [
    { where: 'sung baritone', take: voiceTake(SUNG_BARITONE, PAPER_LANTERNS_HOOK, 7) },
    { where: 'sung alto', take: voiceTake(SUNG_ALTO, PAPER_LANTERNS_HOOK, 7) },
    {
      where: 'rap baritone without jitter',
      take: voiceTake({ ...RAP_BARITONE, jitterPercent: 0 }, SEVEN_STAIRS_VERSE, 7),
    },
    { where: 'rap baritone', take: voiceTake(RAP_BARITONE, SEVEN_STAIRS_VERSE, 7) },
  ].map(({ where, take }) => ({ where, cents: pitchErrorsCents(take) }))
  const medians = errors.map(({ where, cents }) => ({ where, value: median(cents) }))
  return [
    rowOf(
      'T2',
      'pitch: frames more than 50 cents off',
      limitOf({ high: 1 }, '%', 2, TARGET),
      errors.map(({ where, cents }) => ({
        where,
        value: (100 * cents.filter((one) => one > 50).length) / cents.length,
      })),
    ),
    rowOf(
      'T2',
      'pitch of sung lines and of steady rap: median error',
      limitOf({ high: 5 }, 'cents', 2, TARGET),
      medians.slice(0, -1),
    ),
    rowOf(
      'T2',
      'pitch of rap with jitter: median error',
      limitOf(
        { high: 7 },
        'cents',
        2,
        'ours: the jitter of single periods is in the sound and not in its truth',
      ),
      medians.slice(-1),
    ),
  ]
}
