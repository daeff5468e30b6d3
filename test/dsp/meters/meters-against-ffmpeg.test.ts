// Loudness, loudness range and true peak against FFmpeg's ebur128 filter, which is an
// implementation of BS.1770 and Tech 3342 by others, on real speech (the voice clips of
// Debian's alsa-utils).

import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, it } from 'vitest'
import { createLoudnessMeter } from '../../../app/dsp/meters/loudness.ts'
import { createTruePeakMeter } from '../../../app/dsp/meters/true-peak.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import { feed, tone } from '../../signals/tones.ts'

const CLIPS = [
  'Front_Center',
  'Front_Left',
  'Front_Right',
  'Rear_Center',
  'Rear_Left',
  'Rear_Right',
  'Side_Left',
  'Side_Right',
].map((name) => `/usr/share/sounds/alsa/${name}.wav`)
const folder = mkdtempSync(join(tmpdir(), 'takeloft-meters-'))
afterAll(() => rmSync(folder, { recursive: true }))

function decode(path: string, sampleRateHz: number): Float64Array {
  const raw = execFileSync(
    'ffmpeg',
    ['-v', 'error', '-i', path, '-ac', '1', '-ar', `${sampleRateHz}`, '-f', 'f32le', '-'],
    {
      maxBuffer: 2 ** 28,
    },
  )
  return Float64Array.from({ length: raw.length / 4 }, (_, i) => raw.readFloatLE(4 * i))
}

/** All clips end to end, about 11 s. */
function speech(sampleRateHz: number): Float64Array {
  const clips = CLIPS.map((path) => decode(path, sampleRateHz))
  const joined = new Float64Array(clips.reduce((sum, clip) => sum + clip.length, 0))
  let at = 0
  for (const clip of clips) {
    joined.set(clip, at)
    at += clip.length
  }
  return joined
}

interface Reading {
  readonly integratedLufs: number
  readonly loudnessRangeLu: number
  readonly truePeakDbtp: number
  readonly maxMomentaryLufs: number
  readonly maxShortTermLufs: number
}

function readByFfmpeg(channels: readonly Float64Array[], sampleRateHz: number, tailSeconds: number): Reading {
  const frames = channels[0].length + Math.round(tailSeconds * sampleRateHz)
  const raw = Buffer.alloc(frames * channels.length * 4)
  channels.forEach((channel, c) => {
    for (let n = 0; n < channel.length; n++) raw.writeFloatLE(channel[n], 4 * (n * channels.length + c))
  })
  const path = join(folder, 'signal.f32')
  writeFileSync(path, raw)
  const filter = 'ebur128=peak=true:metadata=1,ametadata=mode=print:file=-'
  const input = ['-f', 'f32le', '-ar', `${sampleRateHz}`, '-ac', `${channels.length}`, '-i', path]
  const run = spawnSync('ffmpeg', ['-hide_banner', '-nostats', ...input, '-af', filter, '-f', 'null', '-'], {
    encoding: 'utf8',
    maxBuffer: 2 ** 28,
  })
  const all = (key: string) =>
    [...run.stdout.matchAll(new RegExp(`^lavfi\\.r128\\.${key}=(.*)$`, 'gm'))].map((match) =>
      Number(match[1]),
    )
  return {
    integratedLufs: all('I').at(-1)!,
    loudnessRangeLu: all('LRA').at(-1)!,
    maxMomentaryLufs: Math.max(...all('M')),
    maxShortTermLufs: Math.max(...all('S')),
    truePeakDbtp: Number(/True peak:\s+Peak:\s+(\S+) dBFS/.exec(run.stderr)![1]),
  }
}

function readByOurs(channels: readonly Float64Array[], sampleRateHz: number): Reading {
  const loudness = createLoudnessMeter({ sampleRateHz, channels: channels.length })
  const peak = createTruePeakMeter({ sampleRateHz, channels: channels.length })
  feed(loudness.add, channels)
  feed(peak.add, channels)
  return {
    integratedLufs: loudness.integratedLufs()!,
    loudnessRangeLu: loudness.loudnessRangeLu()!,
    maxMomentaryLufs: loudness.maxMomentaryLufs()!,
    maxShortTermLufs: loudness.maxShortTermLufs()!,
    truePeakDbtp: peak.truePeakDbtp()!,
  }
}

const ready = hasTool('ffmpeg') && haveMaterial(...CLIPS)

describe.skipIf(!ready)('meters against FFmpeg ebur128', () => {
  it.each([
    [48000, 1],
    [44100, 1],
    [96000, 1],
    [48000, 2],
  ])(
    'real speech at %d Hz in %d channel(s): I within 0.1 LU, true peak within +0.2/-0.4 dB',
    (rate, channelCount) => {
      const voice = speech(rate)
      expect(voice.length / rate).toBeGreaterThan(10)
      // The second channel is another signal: the voice late and softer.
      const second = new Float64Array(voice.length)
      for (let n = 500; n < voice.length; n++) second[n] = 0.4 * voice[n - 500]
      const channels = [voice, second].slice(0, channelCount)
      const ours = readByOurs(channels, rate)
      const theirs = readByFfmpeg(channels, rate, 0)
      console.log(
        `  ${rate} Hz x ${channelCount}: I ${ours.integratedLufs.toFixed(3)} / ${theirs.integratedLufs}, peak ${ours.truePeakDbtp.toFixed(2)} / ${theirs.truePeakDbtp}, max M ${ours.maxMomentaryLufs.toFixed(2)} / ${theirs.maxMomentaryLufs}, max S ${ours.maxShortTermLufs.toFixed(2)} / ${theirs.maxShortTermLufs}`,
      )
      expect(Math.abs(ours.integratedLufs - theirs.integratedLufs)).toBeLessThanOrEqual(0.1)
      expect(ours.truePeakDbtp - theirs.truePeakDbtp).toBeLessThanOrEqual(0.2)
      expect(ours.truePeakDbtp - theirs.truePeakDbtp).toBeGreaterThanOrEqual(-0.4)
      // FFmpeg looks every 100 ms, we every 10 ms: ours is the greater of the two.
      expect(ours.maxMomentaryLufs).toBeGreaterThanOrEqual(theirs.maxMomentaryLufs - 0.1)
      expect(ours.maxShortTermLufs).toBeGreaterThanOrEqual(theirs.maxShortTermLufs - 0.1)
      expect(ours.maxShortTermLufs).toBeLessThanOrEqual(theirs.maxShortTermLufs + 0.5)
    },
  )

  it('loudness range of real speech within 0.1 LU, FFmpeg being given the 1.5 s of silence that Tech 3342 asks of a file meter', () => {
    const voice = speech(48000)
    // Three loudnesses in turn: FFmpeg's percentiles are a rank or two off those of Tech 3342
    // section 5, which a spread of few values would show.
    const steps = new Float64Array(3 * voice.length)
    ;[1, 0.2, 0.5].forEach((gain, i) => {
      steps.set(
        voice.map((sample) => sample * gain),
        i * voice.length,
      )
    })
    const ours = readByOurs([steps], 48000).loudnessRangeLu
    const theirs = readByFfmpeg([steps], 48000, 1.5).loudnessRangeLu
    console.log(`  LRA ${ours.toFixed(3)} / ${theirs} LU`)
    expect(ours).toBeGreaterThan(5)
    expect(Math.abs(ours - theirs)).toBeLessThanOrEqual(0.1)
  })

  it('5.0: I within 0.1 LU with the surround weights', () => {
    const channels = [0.1, 0.02, 0.15, 0.3, 0.05].map((peak, c) =>
      tone(5 * 48000, 48000, 300 + 400 * c, peak),
    )
    const ours = readByOurs(channels, 48000).integratedLufs
    // FFmpeg takes five channels without a named layout as L R C Ls Rs.
    const theirs = readByFfmpeg(channels, 48000, 0).integratedLufs
    expect(Math.abs(ours - theirs)).toBeLessThanOrEqual(0.1)
  })
})
