// Loudness of a phrase by ITU-R BS.1770-5: blocks of 400 ms with 75 % overlap and a relative gate of -10 LU inside the
// phrase; a phrase under 400 ms by its plain mean.

import { dbFromPower } from '../maths/decibels.ts'
import type { Span } from '../maths/span.ts'
import { OFFSET_LU } from '../meters/loudness.ts'
import type { VoiceFrames } from './voice-frames.ts'

const BLOCK_FRAMES_OF_10_MS = 40
const STEP_FRAMES = 10
const RELATIVE_GATE = 0.1

/** LUFS; null for digital silence. */
export function phraseLoudness(
  { kEnergies, frameFrames, track }: VoiceFrames,
  { fromS, toS }: Span,
): number | null {
  const from = Math.max(0, Math.round(fromS / track.frameSeconds))
  const to = Math.min(kEnergies.length, Math.round(toS / track.frameSeconds))
  const blocks: number[] = []
  for (let at = from; at + BLOCK_FRAMES_OF_10_MS <= to; at += STEP_FRAMES) {
    blocks.push(meanOf(kEnergies, at, at + BLOCK_FRAMES_OF_10_MS) / frameFrames)
  }
  if (blocks.length === 0) blocks.push(meanOf(kEnergies, from, Math.max(from + 1, to)) / frameFrames)
  const gate = RELATIVE_GATE * meanOf(blocks, 0, blocks.length)
  const loud = blocks.filter((power) => power >= gate)
  const power = meanOf(loud, 0, loud.length)
  return power > 0 ? OFFSET_LU + dbFromPower(power) : null
}

function meanOf(values: ArrayLike<number>, from: number, to: number): number {
  let sum = 0
  for (let i = from; i < to; i++) sum += values[i] ?? 0
  return sum / Math.max(1, to - from)
}
