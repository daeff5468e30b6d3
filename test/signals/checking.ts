// Takes for the check: generated parts with and without faults, and real speech as the
// packages of a Debian machine have it.

import { execFileSync } from 'node:child_process'
import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { type CheckedTake, createTakeCheck } from '../../app/dsp/check/take-check.ts'
import { createRandom } from '../../app/dsp/maths/random.ts'
import type { Span } from '../../app/dsp/maths/span.ts'
import { LEAD_DEVIATIONS, type Performance, type Singer } from '../../app/dsp/voice/performance.ts'
import { type RenderedVoice, renderVoice } from '../../app/dsp/voice/render-voice.ts'
import { phrase, type Score } from '../../app/dsp/voice/score.ts'
import { RAP_BARITONE, SUNG_BARITONE } from '../../app/dsp/voice/singers.ts'
import { PAPER_LANTERNS_HOOK } from '../../app/dsp/voice/songs/paper-lanterns.ts'
import { SEVEN_STAIRS_VERSE } from '../../app/dsp/voice/songs/seven-stairs.ts'
import { feed } from './tones.ts'
import { exactPerformance, plainScore, SUNG_ALTO, steady } from './voices.ts'

export const RATE_HZ = 48_000

export const SINGERS = [RAP_BARITONE, SUNG_ALTO, SUNG_BARITONE] as const

export function checkOf(
  samples: Float64Array | Float32Array,
  rateHz = RATE_HZ,
  blockFrames = 8192,
): CheckedTake {
  const check = createTakeCheck({ sampleRateHz: rateHz, channels: 1 })
  feed(check.add, [Float64Array.from(samples)], blockFrames)
  return check.finish()
}

/** About 14 s of the demo's song by one of the singers: the rap verse for the first, the hook for the others. */
export function songTake(
  singer: Singer,
  seed: number,
  changes: Partial<Performance> = {},
  rateHz = RATE_HZ,
): RenderedVoice {
  const score = singer === RAP_BARITONE ? SEVEN_STAIRS_VERSE : PAPER_LANTERNS_HOOK
  return renderVoice(score, performanceOf(singer, changes), { sampleRateHz: rateHz, seed })
}

const ONSETS = [
  'S AH',
  'F OW',
  'M AA',
  'AA',
  'SH IY',
  'L UW',
  'HH EH',
  'V AE',
  'W AY',
  'N IY',
  'Z AH',
  'Y UW',
]

/** Twelve phrases with a second of pause between them, at three levels, each beginning with another sound. */
export function phrasedTake(
  singer: Singer,
  seed: number,
  breath: boolean,
  changes: Partial<Performance> = {},
): RenderedVoice {
  const phrases = ONSETS.map((onset, i) =>
    phrase(
      2 + 2.6 * i,
      (i % 3) * -4,
      [
        [0, 0.4, 0, onset, 1],
        [0.45, 0.4, 2, 'T AH N'],
        [0.9, 0.4, 0, `${ONSETS[(i + 5) % 12]} S`],
      ],
      breath,
    ),
  )
  const score: Score = { ...plainScore(34, []), phrases }
  return renderVoice(score, performanceOf(singer, changes), { sampleRateHz: RATE_HZ, seed })
}

/** Nine times a vowel of 2.4 s with half a second between them: 22 s of voice and its pauses. */
export function heldVowelTake(vowel: string, tonicHz: number): Float64Array {
  const singer = steady(SINGERS[tonicHz > 180 ? 1 : 0], tonicHz)
  const phrases = Array.from({ length: 9 }, (_, i) => phrase(2.9 * i, 0, [[0, 2.4, 0, vowel]], false))
  const { samples } = renderVoice({ ...plainScore(27, []), phrases }, exactPerformance(singer), {
    sampleRateHz: RATE_HZ,
    seed: 3,
  })
  return addWhiteNoise(Float64Array.from(samples), -70, 2)
}

function performanceOf(singer: Singer, changes: Partial<Performance>): Performance {
  return {
    singer,
    deviations: LEAD_DEVIATIONS,
    effortDb: 0,
    peakDbfs: -3,
    popLevelDb: -60,
    room: { reflections: [], noiseFloorDbfs: -65 },
    ...changes,
  }
}

/** In place: steady white noise of an RMS level. */
export function addWhiteNoise(samples: Float64Array, levelDbfs: number, seed: number): Float64Array {
  const random = createRandom(seed)
  const gain = 10 ** (levelDbfs / 20)
  for (let n = 0; n < samples.length; n++) samples[n] += gain * random.normal()
  return samples
}

export const CLIPS = '/usr/share/sounds/alsa'
export const SYLLABLES = '/usr/share/klettres'

/** The announcements of alsa-utils, eight of them by one speaker. */
export function announcements(): Float64Array {
  const names = readdirSync(CLIPS).filter((name) => name.endsWith('.wav') && name !== 'Noise.wav')
  return joined(names.sort().map((name) => decoded(join(CLIPS, name))))
}

/** The first 60 syllables of a language as klettres teaches them. */
export function syllables(language: string): Float64Array {
  const folder = join(SYLLABLES, language, 'syllab')
  const names = readdirSync(folder).filter((name) => name.endsWith('.ogg'))
  return joined(
    names
      .sort()
      .slice(0, 60)
      .map((name) => decoded(join(folder, name))),
  )
}

/** With a quarter of a second of quiet noise between them, and fades, so that a cut is no click. */
function joined(parts: readonly Float64Array[]): Float64Array {
  const gap = RATE_HZ / 4
  const fade = 0.005 * RATE_HZ
  const whole = new Float64Array(parts.reduce((sum, part) => sum + part.length + gap, 0))
  addWhiteNoise(whole, -80, 3)
  let at = 0
  for (const part of parts) {
    for (let n = 0; n < part.length; n++) {
      whole[at + n] += part[n] * Math.min(1, n / fade, (part.length - 1 - n) / fade)
    }
    at += part.length + gap
  }
  return whole
}

/** Any file as mono samples by FFmpeg. */
export function decoded(path: string, rateHz = RATE_HZ): Float64Array {
  const args = ['-v', 'error', '-i', path, '-ac', '1', '-ar', `${rateHz}`, '-f', 'f64le', '-']
  return new Float64Array(Uint8Array.from(execFileSync('ffmpeg', args, { maxBuffer: 1 << 28 })).buffer)
}

/** Samples through FFmpeg, with filters, a change of rate, or both. */
export function throughFfmpeg(
  samples: Float64Array,
  filters: string,
  toRateHz = RATE_HZ,
  rateHz = RATE_HZ,
): Float64Array {
  const raw = ['-f', 'f64le', '-ac', '1', '-ar']
  const filter = filters === '' ? [] : ['-af', filters]
  const args = ['-v', 'error', ...raw, `${rateHz}`, '-i', '-', ...filter, ...raw, `${toRateHz}`, '-']
  const input = new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength)
  return new Float64Array(Uint8Array.from(execFileSync('ffmpeg', args, { input, maxBuffer: 1 << 29 })).buffer)
}

/** How many moments were found within a tolerance, and how many findings belong to none. */
export function scored(
  truth: readonly number[],
  found: readonly Span[],
  toleranceSeconds: number,
): { hits: number; of: number; falseAlarms: number } {
  const isAt = (moment: number, { fromS, toS }: Span): boolean =>
    moment >= fromS - toleranceSeconds && moment <= toS + toleranceSeconds
  return {
    hits: truth.filter((moment) => found.some((span) => isAt(moment, span))).length,
    of: truth.length,
    falseAlarms: found.filter((span) => !truth.some((moment) => isAt(moment, span))).length,
  }
}
