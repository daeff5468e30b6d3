import { execFileSync } from 'node:child_process'
import { join } from 'node:path'
import { describe, expect, it } from 'vitest'
import { createWaveWriter } from '../../../app/audio/wave/wave-writer.ts'
import type { SpectralEdge } from '../../../app/dsp/check/spectral-edge.ts'
import { ffmpeg, makeFolder } from '../../audio/outside-tools.ts'
import { hasTool, haveMaterial } from '../../require-tool.ts'
import { announcements, CLIPS, checkOf, decoded, SINGERS, songTake } from '../../signals/checking.ts'

const hasTools = hasTool('ffmpeg') && hasTool('sox') && haveMaterial(CLIPS)

const edgeOf = (samples: Float64Array | Float32Array, rateHz: number): SpectralEdge | null =>
  checkOf(samples, rateHz).evidence.edge

describe.skipIf(!hasTools)('the spectral edge after real coders and converters', () => {
  const folder = makeFolder()
  const rates = [44_100, 48_000] as const
  const sources = rates.flatMap((rateHz) =>
    [...SINGERS.slice(0, 2).map((one) => songTake(one, 3, {}, rateHz).samples), announcements()]
      .filter((_, i) => i < 2 || rateHz === 48_000)
      .map((samples, i) => {
        const path = join(folder, `${rateHz}-${i}.wav`)
        const writer = createWaveWriter(path, {
          sampleRateHz: rateHz,
          channels: 1,
          encoding: 'pcm-24',
          ditherSeed: null,
        })
        writer.write([Float64Array.from(samples)], samples.length)
        writer.finish()
        return { path, rateHz }
      }),
  )

  it('is absent from original recordings, and from recordings with a roll-off of 24 dB per octave', () => {
    for (const { path, rateHz } of sources) {
      expect(edgeOf(decoded(path, rateHz), rateHz), path).toBeNull()
      for (const frequency of ['5000', '8000', '12000']) {
        const to = join(folder, 'rolled.wav')
        execFileSync('sox', [path, '-b', '24', to, 'lowpass', '-2', frequency, 'lowpass', '-2', frequency])
        expect(edgeOf(decoded(to, rateHz), rateHz), `${path} at ${frequency}`).toBeNull()
      }
    }
  })

  it.each([
    ['mp3', ['-c:a', 'libmp3lame', '-b:a', '64k'], 15_500, 17_000],
    ['ogg', ['-c:a', 'libvorbis', '-b:a', '80k'], 17_000, 20_000],
    ['m4a', ['-c:a', 'aac', '-b:a', '64k'], 16_500, 18_500],
  ])('is attributed to a coder after %s at a low bit rate', (container, options, lowestHz, highestHz) => {
    for (const { path, rateHz } of sources) {
      const coded = join(folder, `coded.${container}`)
      ffmpeg('-i', path, ...options, coded)
      const edge = edgeOf(decoded(coded, rateHz), rateHz)
      expect(edge?.kind, path).toBe('coder')
      expect(edge!.edgeHz).toBeGreaterThan(lowestHz)
      expect(edge!.edgeHz).toBeLessThan(highestHz)
    }
  })

  it('is attributed to a coder in at least a third of takes from better coders', () => {
    let found = 0
    let tried = 0
    for (const { path, rateHz } of sources) {
      for (const [container, encoder, rate] of [
        ['mp3', 'libmp3lame', '128k'],
        ['mp3', 'libmp3lame', '192k'],
        ['m4a', 'aac', '96k'],
        ['opus', 'libopus', '64k'],
      ]) {
        const coded = join(folder, `coded.${container}`)
        ffmpeg('-i', path, '-c:a', encoder, '-b:a', rate, coded)
        const edge = edgeOf(decoded(coded, rateHz), rateHz)
        tried++
        if (edge?.kind === 'coder') found++
      }
    }
    console.log(`  ${found} of ${tried} takes from mp3 at 128 and 192, aac at 96 and opus at 64 kbit/s`)
    // At 44.1 kHz their edge at 20 kHz cannot be told from that of any converter.
    expect(found).toBeGreaterThanOrEqual(tried / 3)
  })

  it.each([16_000, 22_050, 32_000])(
    'is attributed to a sample rate of %d Hz in a take converted up from it',
    (lowRateHz) => {
      for (const { path, rateHz } of sources) {
        const low = join(folder, 'low.wav')
        const back = join(folder, 'back.wav')
        execFileSync('sox', [path, '-b', '24', low, 'rate', '-v', `${lowRateHz}`])
        execFileSync('sox', [low, '-b', '24', back, 'rate', '-v', `${rateHz}`])
        const edge = edgeOf(decoded(back, rateHz), rateHz)
        expect(edge, path).toMatchObject({ kind: 'lower-rate', fromRateHz: lowRateHz })
      }
    },
  )

  it('is attributed to 44.1 or 48 kHz in a take converted up to 96 kHz', () => {
    for (const { path, rateHz } of sources) {
      const high = join(folder, 'high.wav')
      execFileSync('sox', [path, '-b', '24', high, 'rate', '-v', '96000'])
      expect(edgeOf(decoded(high, 96_000), 96_000), path).toMatchObject({
        kind: 'lower-rate',
        fromRateHz: rateHz,
      })
    }
  })
})
