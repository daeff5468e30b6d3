// The external programs that sound files are compared with, and a temporary folder per suite.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll } from 'vitest'
import type { AudioSource } from '../../app/audio/audio-source.ts'

/** Creates a folder that is removed after the suite. */
export function makeFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-audio-'))
  afterAll(() => rmSync(folder, { recursive: true, force: true }))
  return folder
}

/** Runs a program and returns its standard output; throws with its error output if it fails. */
export function run(program: string, ...args: readonly string[]): Buffer {
  return execFileSync(program, args, { maxBuffer: 1 << 28, stdio: ['ignore', 'pipe', 'pipe'] })
}

export function ffmpeg(...args: readonly string[]): Buffer {
  return run('ffmpeg', '-hide_banner', '-v', 'error', '-y', ...args)
}

/** All samples of a file as FFmpeg decodes them, interleaved, as 64-bit floats. */
export function samplesByFfmpeg(path: string): Float64Array {
  const bytes = ffmpeg('-i', path, '-f', 'f64le', '-c:a', 'pcm_f64le', '-')
  return new Float64Array(Uint8Array.from(bytes).buffer)
}

/** All samples of a source, interleaved, read in spans of uneven length. */
export function samplesOf(source: AudioSource): Float64Array {
  const { channels, frames } = source.format
  const all = new Float64Array(channels * frames)
  const spanFrames = 1777
  const span = Array.from({ length: channels }, () => new Float64Array(spanFrames))
  for (let start = 0; start < frames; start += spanFrames) {
    const count = Math.min(spanFrames, frames - start)
    source.read(start, count, span)
    for (let channel = 0; channel < channels; channel++) {
      for (let i = 0; i < count; i++) all[(start + i) * channels + channel] = span[channel][i]
    }
  }
  return all
}

/** Greatest difference between two sequences of samples; Infinity if their lengths differ. */
export function greatestDifference(one: Float64Array, other: Float64Array): number {
  if (one.length !== other.length) return Infinity
  let greatest = 0
  for (let i = 0; i < one.length; i++) greatest = Math.max(greatest, Math.abs(one[i] - other[i]))
  return greatest
}
