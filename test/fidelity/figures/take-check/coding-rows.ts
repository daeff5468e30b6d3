// Traces of lossy coding: real speech through real coders at high bit rates, and sound that was never coded.

import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { checkOf, decoded, RATE_HZ, SINGERS, songTake } from '../../../signals/checking.ts'
import { musicLoop } from '../../../signals/music-loop.ts'
import { whiteNoise } from '../../../signals/noise.ts'
import { quantised } from '../../../signals/tones.ts'
import { limitOf, missingRow, type Reading, type Row, rowOf } from '../../rows.ts'
import { haveSpeech, SPEECH_MISSING, speech } from '../../speech.ts'

const FALSE = 'takes never coded, named as coded'
const FOUND = 'takes named as coded, MP3 128 to 320, AAC 96 to 256 kbit/s, Vorbis q4 to q8, in 16 and 24 bits'
const LIMITS = {
  falseAlarms: limitOf({ high: 0 }, 'takes', 0, 'ours: an alarm that is not true costs trust'),
  found: limitOf({ low: 100 }, '%', 0, 'ours'),
}
const CODERS: readonly (readonly [
  container: string,
  encoder: string,
  option: string,
  values: readonly string[],
])[] = [
  ['mp3', 'libmp3lame', '-b:a', ['128k', '160k', '192k', '256k', '320k']],
  ['m4a', 'aac', '-b:a', ['96k', '128k', '160k', '192k', '256k']],
  ['ogg', 'libvorbis', '-q:a', ['4', '5', '6', '7', '8']],
]

export function codingRows(): Row[] {
  if (!haveSpeech) {
    return [
      missingRow('T1', FALSE, LIMITS.falseAlarms, SPEECH_MISSING),
      missingRow('T1', FOUND, LIMITS.found, SPEECH_MISSING),
    ]
  }
  const alarms = neverCoded().map(({ where, samples }) => ({ where, value: isNamed(samples) ? 1 : 0 }))
  const found = codedTakes()
  const share = (100 * found.filter(({ value }) => value === 1).length) / found.length
  const missed = found.filter(({ value }) => value === 0).map(({ where }) => where)
  return [
    rowOf('T1', FALSE, LIMITS.falseAlarms, alarms),
    rowOf('T1', FOUND, LIMITS.found, [
      { where: missed.length === 0 ? `${found.length} takes` : `not ${missed.join(', ')}`, value: share },
    ]),
  ]
}

const isNamed = (samples: Float64Array): boolean =>
  checkOf(samples).findings.some(({ kind }) => kind === 'lossy-coding')

function neverCoded(): { readonly where: string; readonly samples: Float64Array }[] {
  const voice = speech()
  const levels = [0, -6, -12, -18, -24, -30, -36, -42]
  return [
    ...levels.map((level) => ({
      where: `speech at ${level} dB in 16 bits`,
      samples: quantised(
        voice.map((value) => value * 10 ** (level / 20)),
        16,
      ),
    })),
    ...SINGERS.flatMap((singer) =>
      [1, 2, 3, 4].map((seed) => ({
        where: `${singer.name} ${seed}`,
        samples: Float64Array.from(songTake(singer, seed).samples),
      })),
    ),
    ...Array.from({ length: 10 }, (_, i) => ({
      where: `white noise ${i}`,
      samples: whiteNoise(10 * RATE_HZ, 100 + i),
    })),
    { where: 'music', samples: musicLoop(20, RATE_HZ) },
  ]
}

/** 1 for each take that is named, 0 for each that is not. */
function codedTakes(): Reading[] {
  const folder = mkdtempSync(join(tmpdir(), 'takeloft-coding-'))
  try {
    const original = join(folder, 'original.wav')
    const input = new Uint8Array(speech().buffer)
    ffmpeg(['-f', 'f64le', '-ar', `${RATE_HZ}`, '-ac', '1', '-i', '-', '-c:a', 'pcm_s24le', original], input)
    return CODERS.flatMap(([container, encoder, option, values]) =>
      values.flatMap((value) => {
        const coded = join(folder, `coded.${container}`)
        ffmpeg(['-i', original, '-c:a', encoder, option, value, coded])
        return [16, 24].map((bits) => {
          const back = join(folder, 'back.wav')
          // Lowered by 3.3 dB in 24 bits, as an editor might.
          const level = bits === 24 ? ['-af', 'volume=-3.3dB'] : []
          ffmpeg(['-i', coded, ...level, '-c:a', `pcm_s${bits}le`, back])
          return { where: `${encoder} ${value}, ${bits} bits`, value: isNamed(decoded(back)) ? 1 : 0 }
        })
      }),
    )
  } finally {
    rmSync(folder, { recursive: true, force: true })
  }
}

function ffmpeg(args: readonly string[], input?: Uint8Array): void {
  execFileSync('ffmpeg', ['-hide_banner', '-v', 'error', '-y', ...args], {
    input,
    stdio: ['pipe', 'pipe', 'inherit'],
  })
}
