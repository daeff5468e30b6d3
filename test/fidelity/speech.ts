// Real speech: the voice clips of Debian's alsa-utils, end to end, about 11 s; and spoken letters and words of two more packages.

import { execFileSync } from 'node:child_process'
import { existsSync, globSync } from 'node:fs'
import { hasTool, haveMaterial } from '../require-tool.ts'

const CLIPS = [
  ...['Front_Center', 'Front_Left', 'Front_Right', 'Rear_Center'],
  ...['Rear_Left', 'Rear_Right', 'Side_Left', 'Side_Right'],
].map((name) => `/usr/share/sounds/alsa/${name}.wav`)

export const SPEECH_MISSING = 'the voice clips of alsa-utils or ffmpeg, which decodes them, are not installed'
export const haveSpeech = hasTool('ffmpeg') && haveMaterial(...CLIPS)

/** Voices of different Debian packages by name, each the paths of its clips; empty where a package is not installed. */
export const VOICES: Readonly<Record<string, readonly string[]>> = {
  'alsa-utils': CLIPS.every((path) => existsSync(path)) ? CLIPS : [],
  'klettres-data, English': globSync('/usr/share/klettres/en/*/*.ogg').sort(),
  'klettres-data, German': globSync('/usr/share/klettres/de/*/*.ogg').sort(),
  'ktuberling-data, English': globSync('/usr/share/ktuberling/sounds/en/*.ogg').sort(),
}

const letters = (language: string): string[] => globSync(`/usr/share/klettres/${language}/*/*.ogg`).sort()
const words = (language: string): string[] =>
  globSync(`/usr/share/ktuberling/sounds/${language}/*.ogg`).sort()

/** Voices that no threshold of the stack check was set on. */
export const HELD_OUT_VOICES: Readonly<Record<string, readonly string[]>> = {
  'klettres-data, Arabic': letters('ar'),
  'klettres-data, French': letters('fr'),
  'klettres-data, Dutch': letters('nl'),
  'klettres-data, Hungarian': letters('hu'),
  'klettres-data, Ukrainian': letters('uk'),
  'klettres-data, Hebrew': letters('he'),
  'ktuberling-data, Danish': words('da'),
  'ktuberling-data, German': words('de'),
  'ktuberling-data, Catalan': words('ca'),
}

export const HELD_OUT_MISSING = 'the voices of klettres-data and ktuberling-data or ffmpeg are not installed'
export const haveHeldOut =
  hasTool('ffmpeg') &&
  haveMaterial('/usr/share/klettres', '/usr/share/ktuberling/sounds') &&
  Object.values(HELD_OUT_VOICES).every((paths) => paths.length > 0)

/** The first seconds of a voice's clips at 48 kHz, end to end, by one call of ffmpeg. */
export function beginningOf(paths: readonly string[], seconds: number): Float64Array {
  const clips = paths.slice(0, 60)
  const concat = `${clips.map((_, k) => `[${k}:a]`).join('')}concat=n=${clips.length}:v=0:a=1`
  const inputs = clips.flatMap((path) => ['-i', path])
  const format = ['-t', `${seconds}`, '-ac', '1', '-ar', '48000', '-f', 'f32le', '-']
  const bytes = execFileSync('ffmpeg', ['-v', 'error', ...inputs, '-filter_complex', concat, ...format], {
    maxBuffer: 2 ** 28,
  })
  return Float64Array.from(
    new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length)),
  )
}

/** The clips of a voice at 48 kHz, end to end. */
export const speechOf = (paths: readonly string[]): Float64Array =>
  Float64Array.from(paths.flatMap((path) => [...decode(path, 48_000)]))

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

/** Where each clip begins in `speech()`. */
export const CLIPS_AT = (): number[] => {
  let at = 0
  return CLIPS.map((path) => {
    const from = at
    at += decode(path, 48_000).length
    return from
  })
}

function decode(path: string, sampleRateHz: number): Float32Array {
  const format = ['-ac', '1', '-ar', `${sampleRateHz}`, '-f', 'f32le', '-']
  const bytes = execFileSync('ffmpeg', ['-v', 'error', '-i', path, ...format], { maxBuffer: 2 ** 28 })
  return new Float32Array(bytes.buffer.slice(bytes.byteOffset, bytes.byteOffset + bytes.length))
}
