// Traces of lossy coding after real coders (FFmpeg's aac, libmp3lame, libvorbis) on real speech, and none in the
// same speech without them, however it was converted otherwise.

import { execFileSync } from 'node:child_process'
import { join } from 'node:path'
import { beforeAll, describe, expect, it } from 'vitest'
import { type CodingTraces, createCodingSearch } from '../../../../app/dsp/check/coding/coding-traces.ts'
import { ffmpeg, makeFolder } from '../../../audio/outside-tools.ts'
import { hasTool, haveMaterial } from '../../../require-tool.ts'
import {
  addWhiteNoise,
  announcements,
  CLIPS,
  checkOf,
  decoded,
  RATE_HZ,
  SINGERS,
  songTake,
} from '../../../signals/checking.ts'
import { musicLoop } from '../../../signals/music-loop.ts'
import { whiteNoise } from '../../../signals/noise.ts'
import { quantised } from '../../../signals/tones.ts'
import { sineWindowCoded } from './sine-window-coder.ts'

const haveAll = hasTool('ffmpeg') && hasTool('sox') && haveMaterial(CLIPS)

function tracesOf(samples: Float64Array, rateHz = RATE_HZ, blockFrames = 4096): CodingTraces | null {
  const search = createCodingSearch(rateHz)
  for (let from = 0; from < samples.length; from += blockFrames) {
    search.add(samples, from, Math.min(blockFrames, samples.length - from))
  }
  return search.traces()
}

const scaled = (samples: Float64Array, gainDb: number): Float64Array =>
  samples.map((value) => value * 10 ** (gainDb / 20))

describe.skipIf(!haveAll)('traces of lossy coding', () => {
  const folder = makeFolder()
  let speech: Float64Array

  beforeAll(() => {
    speech = announcements()
  })

  /** Speech through a coder and back, at 48 kHz, as FFmpeg decodes it to words of a size. */
  function coded(container: string, options: readonly string[], words: string): Float64Array {
    const [original, file, back] = ['original.wav', `coded.${container}`, 'back.wav'].map((name) =>
      join(folder, name),
    )
    const args = [
      '-v',
      'error',
      '-y',
      '-f',
      'f64le',
      '-ar',
      `${RATE_HZ}`,
      '-ac',
      '1',
      '-i',
      '-',
      '-c:a',
      'pcm_s24le',
    ]
    execFileSync('ffmpeg', [...args, original], { input: new Uint8Array(speech.buffer) })
    ffmpeg('-i', original, ...options, file)
    ffmpeg('-i', file, '-c:a', words, back)
    return decoded(back)
  }

  it.each([
    ...['128k', '192k', '256k', '320k'].map((rate) => ['mp3', 'mp3', 'libmp3lame', '-b:a', rate] as const),
    ...['96k', '128k', '192k', '256k'].map((rate) => ['aac', 'm4a', 'aac', '-b:a', rate] as const),
    ...['4', '6', '8'].map((quality) => ['vorbis', 'ogg', 'libvorbis', '-q:a', quality] as const),
  ])('are found and named after %s (%s, %s %s %s)', (coder, container, encoder, option, value) => {
    const options = ['-c:a', encoder, option, value]
    expect(tracesOf(coded(container, options, 'pcm_s16le'))?.coder).toBe(coder)
    const inWords24 = quantised(scaled(coded(container, options, 'pcm_s24le'), -3.3), 24)
    expect(tracesOf(inWords24)?.coder).toBe(coder)
  })

  it('are found after a coder that transforms under sine windows, of which there is none here to run', () => {
    expect(tracesOf(sineWindowCoded(speech.slice(0, 5 * RATE_HZ), 1 / 100))?.coder).toBe('aac')
  })

  it('are found wherever the take begins in the coder’s frames, and are the same in blocks of any size', () => {
    const samples = coded('mp3', ['-c:a', 'libmp3lame', '-b:a', '256k'], 'pcm_s16le')
    for (const from of [1, 333, 5000]) expect(tracesOf(samples.slice(from))?.coder).toBe('mp3')
    expect(tracesOf(samples, RATE_HZ, 777)).toEqual(tracesOf(samples))
  })

  it('become a finding in place of the bandwidth of the same coder', () => {
    const { findings } = checkOf(coded('mp3', ['-c:a', 'libmp3lame', '-b:a', '64k'], 'pcm_s16le'))
    expect(findings.find(({ kind }) => kind === 'lossy-coding')).toMatchObject({
      coder: 'mp3',
      unit: 'times',
    })
    expect(findings.map(({ kind }) => kind)).not.toContain('lossy-bandwidth')
  })

  it('are absent from speech that was never coded: at other rates, levels, word lengths, filtered, in noise', () => {
    const filtered = (effects: readonly string[], toHz = RATE_HZ): Float64Array =>
      soxed(speech, ['rate', '-v', `${toHz}`, ...effects])
    expect(tracesOf(speech)).toBeNull()
    expect(tracesOf(filtered([], 44_100), 44_100)).toBeNull()
    expect(tracesOf(filtered([], 96_000), 96_000)).toBeNull()
    for (const gainDb of [-10, -20, -30]) expect(tracesOf(quantised(scaled(speech, gainDb), 16))).toBeNull()
    for (const effects of [
      ['sinc', '-16k'],
      ['lowpass', '4000'],
      ['overdrive', '20'],
      ['pitch', '120'],
    ]) {
      expect(tracesOf(filtered(effects)), effects.join(' ')).toBeNull()
    }
    expect(tracesOf(addWhiteNoise(speech.slice(), -50, 3))).toBeNull()
  })

  it('are absent from generated voices, noise, tones, sweeps and music', () => {
    for (const [i, singer] of SINGERS.entries()) {
      expect(tracesOf(Float64Array.from(songTake(singer, 3 + i).samples))).toBeNull()
    }
    for (let seed = 1; seed <= 8; seed++) expect(tracesOf(whiteNoise(10 * RATE_HZ, seed))).toBeNull()
    const phases = [440, 1000, 6500, 7031.25].map((hz) => (n: number) => (hz * n) / RATE_HZ)
    for (const phase of [...phases, (n: number) => 500 * (n / RATE_HZ) ** 2]) {
      const tone = Float64Array.from(
        { length: 20 * RATE_HZ },
        (_, n) => 0.5 * Math.sin(2 * Math.PI * phase(n)),
      )
      expect(tracesOf(quantised(tone, 16))).toBeNull()
    }
    expect(tracesOf(musicLoop(30, RATE_HZ))).toBeNull()
  })

  it('are absent where sound repeats by whole frames, so that what agrees by chance agrees every time', () => {
    for (let seed = 1; seed <= 8; seed++) {
      const repeated = whiteNoise(9216 * 3, seed)
      const looped = Float64Array.from({ length: 9216 * 30 }, (_, n) => repeated[n % repeated.length])
      expect(tracesOf(looped), `seed ${seed}`).toBeNull()
    }
  })

  it('are not looked for in silence and in less than a second', () => {
    expect(tracesOf(new Float64Array(10 * RATE_HZ))).toBeNull()
    expect(
      tracesOf(coded('mp3', ['-c:a', 'libmp3lame', '-b:a', '128k'], 'pcm_s16le').slice(0, 30_000)),
    ).toBeNull()
  })
})

function soxed(samples: Float64Array, effects: readonly string[]): Float64Array {
  const args = ['-t', 'f64', '-r', `${RATE_HZ}`, '-c', '1', '-', '-t', 'f64', '-', ...effects]
  const input = new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength)
  return new Float64Array(Uint8Array.from(execFileSync('sox', args, { input, maxBuffer: 1 << 28 })).buffer)
}
