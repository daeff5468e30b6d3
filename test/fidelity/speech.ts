// Real speech: the voice clips of Debian's alsa-utils, end to end, about 11 s.

import { execFileSync } from 'node:child_process'
import { hasTool, haveMaterial } from '../require-tool.ts'

const CLIPS = [
  ...['Front_Center', 'Front_Left', 'Front_Right', 'Rear_Center'],
  ...['Rear_Left', 'Rear_Right', 'Side_Left', 'Side_Right'],
].map((name) => `/usr/share/sounds/alsa/${name}.wav`)

export const SPEECH_MISSING = 'the voice clips of alsa-utils or ffmpeg, which decodes them, are not installed'
export const haveSpeech = hasTool('ffmpeg') && haveMaterial(...CLIPS)

const decoded = new Map<number, Float64Array>()

/** @throws Error where the clips or ffmpeg are missing */
export function speech(sampleRateHz = 48_000): Float64Array {
  let joined = decoded.get(sampleRateHz)
  if (joined === undefined) {
    joined = Float64Array.from(CLIPS.flatMap((path) => [...decode(path, sampleRateHz)]))
    decoded.set(sampleRateHz, joined)
  }
  return joined.slice()
}

function decode(path: string, sampleRateHz: number): Float32Array {
  const format = ['-ac', '1', '-ar', `${sampleRateHz}`, '-f', 'f32le', '-']
  const bytes = execFileSync('ffmpeg', ['-v', 'error', '-i', path, ...format], { maxBuffer: 2 ** 28 })
  return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length))
}
