// Lines of real speech, the announcements of alsa-utils and the syllables of klettres-data, put together at known places
// with known offsets, as takes of one song are.

import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { addWhiteNoise, CLIPS, decoded, RATE_HZ, SYLLABLES } from '../checking.ts'
import type { KnownTake } from './counted.ts'

/** Eight announcements of two words by one speaker. */
export function announcementLines(): Float64Array[] {
  const names = readdirSync(CLIPS).filter((name) => name.endsWith('.wav') && name !== 'Noise.wav')
  return names.sort().map((name) => withoutEnds(decoded(join(CLIPS, name))))
}

/** So many lines of four spoken syllables each. */
export function syllableLines(language: string, count: number): Float64Array[] {
  const folder = join(SYLLABLES, language, 'syllab')
  const names = readdirSync(folder)
    .filter((name) => name.endsWith('.ogg'))
    .sort()
  return Array.from({ length: count }, (_, i) => {
    const parts = names.slice(4 * i, 4 * i + 4).map((name) => withoutEnds(decoded(join(folder, name))))
    const whole = new Float64Array(parts.reduce((sum, part) => sum + part.length, 0))
    let at = 0
    for (const part of parts) {
      whole.set(part, at)
      at += part.length
    }
    return whole
  })
}

/** Without the silence at both ends: what is more than 40 dB under the peak. */
function withoutEnds(samples: Float64Array): Float64Array {
  const peak = samples.reduce((most, x) => Math.max(most, Math.abs(x)), 0)
  const isLoud = (x: number): boolean => Math.abs(x) > peak / 100
  const from = samples.findIndex(isLoud)
  const to = samples.findLastIndex(isLoud)
  return samples.slice(from, to + 1)
}

/** Lines in an order, with pauses between them and noise at -75 dBFS. @param delays seconds of each line */
export function spokenTake(
  lines: readonly Float64Array[],
  order: readonly number[],
  pauseSeconds: number,
  delays: readonly number[] = [],
): KnownTake {
  const length = order.reduce((sum, line) => sum + lines[line].length + pauseSeconds * RATE_HZ, RATE_HZ)
  const samples = addWhiteNoise(new Float64Array(Math.round(length)), -75, 11)
  const known: { fromS: number; toS: number; line: number }[] = []
  let at = RATE_HZ / 2
  for (const [i, line] of order.entries()) {
    const from = Math.round(at + (delays[i] ?? 0) * RATE_HZ)
    for (let n = 0; n < lines[line].length; n++) samples[from + n] += lines[line][n]
    known.push({ fromS: from / RATE_HZ, toS: (from + lines[line].length) / RATE_HZ, line })
    at += lines[line].length + Math.round(pauseSeconds * RATE_HZ)
  }
  return { samples, lines: known }
}
